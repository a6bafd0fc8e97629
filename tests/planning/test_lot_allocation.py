"""From which lots a day's goods are taken: the oldest first, and what others take before."""

from datetime import date, timedelta

from app.planning.lot_allocation import LotDemand, LotStock, allocate_lots, old_before
from app.planning.stock import ANY

TODAY = date(2026, 11, 21)
TOMORROW = TODAY + timedelta(days=1)


def lots(*those, from_day=date.min):
    return [LotStock(key, colour, count, from_day) for key, (colour, count) in enumerate(those)]


def taken(lying, wanted, earlier=(), by_colour=True):
    return allocate_lots(lying, earlier, wanted, by_colour=by_colour).taken


def test_the_oldest_lot_gives_first():
    assert taken(lots(("red", 5), ("white", 9), ("red", 9)), LotDemand(TODAY, "red", 8)) == ((0, 5), (2, 3))


def test_what_is_not_there_is_not_taken():
    pulled = allocate_lots(lots(("red", 5)), (), LotDemand(TODAY, "red", 8), by_colour=True)
    assert (pulled.count, pulled.available) == (5, 5)


def test_earlier_days_take_theirs_first():
    pulled = allocate_lots(
        lots(("red", 5), ("red", 9)), [LotDemand(TODAY, "red", 6)], LotDemand(TOMORROW, "red", 8), by_colour=True
    )
    assert (pulled.taken, pulled.available) == (((1, 8),), 8)


def test_later_days_take_nothing_yet():
    assert taken(lots(("red", 5)), LotDemand(TODAY, "red", 5), [LotDemand(TOMORROW, "red", 5)]) == ((0, 5),)


def test_any_colour_takes_packs_that_name_none_then_the_colour_of_which_most_is_there():
    lying = lots(("red", 6), ("white", 4), (ANY, 3), ("white", 5))
    assert taken(lying, LotDemand(TODAY, ANY, 10)) == ((2, 3), (1, 4), (3, 3))


def test_a_named_colour_goes_before_any_on_its_day():
    earlier = [LotDemand(TODAY, ANY, 5), LotDemand(TODAY, "red", 6)]
    assert taken(lots(("red", 6), ("white", 6)), LotDemand(TODAY, "white", 6), earlier) == ((1, 1),)


def test_where_no_colour_is_told_apart_any_lot_serves():
    assert taken(lots((ANY, 3), (ANY, 9)), LotDemand(TODAY, "gold", 5), by_colour=False) == ((0, 3), (1, 2))


def test_old_lots_give_only_what_the_others_do_not_have():
    """Common practice, no source: old latex goes into water weights and practice, not to orders."""
    old = LotStock(8, "red", 50, date.min, is_old=True), LotStock(9, ANY, 50, date.min, is_old=True)
    lying = [*old, *lots(("red", 5), ("white", 2))]
    assert taken(lying, LotDemand(TODAY, "red", 8)) == ((0, 5), (8, 3))
    assert taken(lying, LotDemand(TODAY, ANY, 8)) == ((0, 5), (1, 2), (9, 1))


def test_a_lot_is_old_the_day_after_its_months_are_over():
    assert old_before(date(2026, 11, 21), 12) == date(2025, 11, 21)
    assert old_before(date(2026, 3, 31), 1) == date(2026, 2, 28)


def test_what_comes_later_serves_from_its_day_on():
    lying = [*lots(("red", 2)), LotStock(7, "red", 50, TOMORROW)]
    assert taken(lying, LotDemand(TODAY, "red", 5)) == ((0, 2),)
    assert taken(lying, LotDemand(TOMORROW, "red", 5)) == ((0, 2), (7, 3))


def test_a_lot_of_which_more_was_taken_than_came_gives_nothing():
    assert taken(lots(("red", -4), ("red", 6)), LotDemand(TODAY, "red", 5)) == ((1, 5),)
