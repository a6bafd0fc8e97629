"""Lots and deliveries: received, counted anew, set aside, used up; ordered, come, withdrawn."""

from datetime import date, timedelta

import pytest

from app.actions.errors import NotFound
from app.actions.records.catalogue import load_catalogue
from app.actions.records.shop import load_shop
from app.actions.stock.articles import Article
from app.actions.stock.availability import load_availability
from app.actions.stock.deliveries import add_delivery, arrive, next_deliveries, withdraw
from app.actions.stock.lots import Arrival, count_lot, put_back, receive, set_aside, use_up
from app.quoting.defaults import StockDefaults
from app.quoting.errors import Refused
from app.store.models import Counter
from app.store.queries.stock_pages import load_pending_deliveries
from tests.actions.builders import MORNING, WHO, change_type, ctx, order_request, problems, take, tap
from tests.actions.stock_helpers import TODAY, balanced, balloon_type, free, lot, moves, on_hand
from tests.actions.supply_helpers import stand, supply

DAY = timedelta(days=1)


def test_a_lot_is_there_from_the_press_on(session, catalogue):
    lot(session, 100)
    assert (on_hand(session), free(session)) == ({"red": 100}, 100)
    assert moves(session) == [("received", 100)]


def test_the_same_form_twice_is_one_lot(session, catalogue):
    arrival = Arrival(balloon_type(catalogue), "red", 100, TODAY)
    first, second = (
        receive(ctx(session, who=WHO, catalogue=catalogue, now=MORNING), arrival, "form") for _ in range(2)
    )
    assert first is second
    assert on_hand(session) == {"red": 100}


def test_the_pages_that_poll_learn_of_it(session, catalogue):
    before = session.get(Counter, "board").value
    lot(session, 100)
    session.expire_all()
    assert session.get(Counter, "board").value > before


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"count": 0}, "count"),
        ({"count": -3}, "count"),
        ({"count": 2.5}, "count"),
        ({"count": 2_000_000}, "count"),
        ({"colour": "r" * 41}, "colour"),
        ({"on": TODAY + DAY}, "day"),
        ({"article": Article(balloon_type_id=999)}, "article"),
    ],
)
def test_what_cannot_have_come_is_refused(session, catalogue, changes, field):
    wanted = {"article": balloon_type(catalogue), "colour": "red", "count": 100, "on": TODAY} | changes
    with pytest.raises(Refused) as refusal:
        receive(ctx(session, who=WHO, catalogue=catalogue, now=MORNING), Arrival(**wanted), "form")
    assert [*problems(refusal)] == [field]
    assert on_hand(session) == {}


def test_hired_goods_are_no_stock(session):
    arch = stand(session)
    with pytest.raises(Refused) as refusal:
        receive(
            ctx(session, who=WHO, catalogue=load_catalogue(session), now=MORNING),
            Arrival(Article(supply_id=arch.id), "", 2, TODAY),
            "x",
        )
    assert [*problems(refusal)] == ["article"]


def test_half_a_metre_of_ribbon_may_come_and_has_no_colour(session):
    ribbon = supply(session, "Ribbon 5 mm", "ribbon", unit="metre")
    article = Article(supply_id=ribbon.id)
    received = receive(
        ctx(session, who=WHO, catalogue=load_catalogue(session), now=MORNING),
        Arrival(article, "red", 12.5, TODAY),
        "x",
    )
    assert (received.on_hand, received.colour) == (12.5, "")


def test_a_count_is_corrected_with_its_reason(session, catalogue):
    one = lot(session, 100)
    count_lot(ctx(session, who="Isolde", now=MORNING), one.id, 93, "a torn bag", 100)
    assert one.on_hand == 93
    assert moves(session)[-1] == ("counted", -7)
    assert balanced(session)


def test_what_was_filled_while_somebody_counted_stays_gone(session, catalogue):
    one = lot(session, 100)
    tap(session, take(session, order_request(catalogue)).batches[0], "finish")
    count_lot(ctx(session, who="Isolde", now=MORNING), one.id, 98, "counted", 100)
    assert one.on_hand == 74


def test_the_same_count_sent_twice_corrects_once(session, catalogue):
    """Also where the browser sends it again without a script to hold it back."""
    one = lot(session, 100)
    for _ in range(2):
        count_lot(ctx(session, who="Isolde", now=MORNING), one.id, 93, "a torn bag", 100, counts_seen=0)
    assert one.on_hand == 93
    count_lot(ctx(session, who="Isolde", now=MORNING), one.id, 90, "another", 93, counts_seen=1)
    assert one.on_hand == 90
    assert balanced(session)


@pytest.mark.parametrize(
    ("count", "why", "field"), [(-1, "gone", "count"), (5, "  ", "why"), (5, "w" * 201, "why")]
)
def test_a_count_without_sense_or_reason_is_refused(session, catalogue, count, why, field):
    one = lot(session, 100)
    with pytest.raises(Refused) as refusal:
        count_lot(ctx(session, who=WHO, now=MORNING), one.id, count, why, 100)
    assert [*problems(refusal)] == [field]
    assert one.on_hand == 100


def test_what_is_put_away_is_free_no_more_until_it_is_put_back(session, catalogue):
    one = lot(session, 100)
    set_aside(ctx(session, now=MORNING), one.id, "two years old")
    assert (on_hand(session), free(session)) == ({}, 0)
    put_back(session, one.id)
    assert free(session) == 100


def test_water_weights_use_up_what_is_put_away_and_only_that(session, catalogue):
    one = lot(session, 100)
    with pytest.raises(Refused):
        use_up(ctx(session, who=WHO, now=MORNING), one.id, 4, 100, "water weights")
    set_aside(ctx(session, now=MORNING), one.id, "old")
    for _ in range(2):
        use_up(ctx(session, who=WHO, now=MORNING), one.id, 4, 100, "water weights")
    assert one.on_hand == 96
    with pytest.raises(Refused) as refusal:
        use_up(ctx(session, who=WHO, now=MORNING), one.id, 97, 96, "practice")
    assert [*problems(refusal)] == ["count"]


def test_a_lot_that_is_nobodys_is_not_there(session):
    for act in (
        lambda: count_lot(ctx(session, who=WHO, now=MORNING), 99, 1, "x", 0),
        lambda: set_aside(ctx(session, now=MORNING), 99, "x"),
    ):
        with pytest.raises(NotFound):
            act()


# What is on its way


def _order(session, catalogue, packs=2, due_on=TODAY + 3 * DAY, key="d-1"):
    catalogue = change_type(session, pack_size=100)
    return add_delivery(
        ctx(session, who=WHO, catalogue=catalogue, now=MORNING),
        balloon_type(catalogue),
        "Red",
        packs,
        due_on,
        key,
    )


def test_what_is_ordered_is_free_from_the_day_after_it_is_due(session, catalogue):
    lot(session, 10)
    _order(session, catalogue)
    assert [free(session, day=TODAY + days * DAY) for days in (0, 3, 4)] == [10, 10, 210]


def test_what_is_overdue_counts_for_nothing(session, catalogue):
    lot(session, 10)
    _order(session, catalogue)
    assert free(session, day=TODAY + 9 * DAY, now=MORNING + 4 * DAY) == 10


def test_when_it_came_it_is_a_lot_however_often_it_is_pressed(session, catalogue):
    delivery = _order(session, catalogue)
    for _ in range(2):
        arrive(ctx(session, who=WHO, catalogue=catalogue, now=MORNING), delivery.id, 190)
    assert on_hand(session) == {"Red": 190}
    assert free(session, day=TODAY + 9 * DAY) == 190


def _on_their_way(session):
    return [(one.packs, one.pieces, one.due_on) for one in load_pending_deliveries(session)]


@pytest.mark.parametrize(
    ("came", "short", "rest"),
    [
        (300, 0, []),
        (310, 0, []),
        (298, 2, []),  # a pack holds two too few: nobody sends those
        (200, 100, [(1, 100)]),
        (197, 103, [(1, 100)]),
        (40, 260, [(2, 200)]),
    ],
)
def test_packs_that_did_not_come_stay_on_their_way(session, catalogue, came, short, rest):
    delivery = _order(session, catalogue, packs=3)
    told = [
        arrive(ctx(session, who=WHO, catalogue=catalogue, now=MORNING + DAY), delivery.id, came) for _ in range(2)
    ]
    assert [one.short for one in told] == [short, short]
    assert told[0].rest is told[1].rest
    assert _on_their_way(session) == [(packs, pieces, TODAY + 3 * DAY) for packs, pieces in rest]
    assert free(session, day=TODAY + 9 * DAY) == came + sum(pieces for _, pieces in rest)


def test_packs_that_did_not_come_may_come_later_or_not_at_all(session, catalogue):
    delivery = _order(session, catalogue, packs=3)
    rest = arrive(ctx(session, who=WHO, catalogue=catalogue, now=MORNING), delivery.id, 100).rest
    last = arrive(ctx(session, who=WHO, catalogue=catalogue, now=MORNING + DAY), rest.id, 100).rest
    assert on_hand(session) == {"Red": 200}
    withdraw(ctx(session, now=MORNING + DAY), last.id)
    assert _on_their_way(session) == []
    assert free(session, day=TODAY + 9 * DAY) == 200


def test_packs_are_missing_as_they_were_ordered_though_they_are_others_now(session, catalogue):
    delivery = _order(session, catalogue, packs=3)
    catalogue = change_type(session, pack_size=50)
    arrive(ctx(session, who=WHO, catalogue=catalogue, now=MORNING), delivery.id, 200)
    assert _on_their_way(session) == [(1, 100, TODAY + 3 * DAY)]


def test_what_is_due_today_may_be_ordered(session, catalogue):
    assert _order(session, catalogue, due_on=TODAY).due_on == TODAY


def test_what_will_not_come_counts_no_more(session, catalogue):
    delivery = _order(session, catalogue)
    withdraw(ctx(session, now=MORNING), delivery.id)
    assert (
        load_availability(ctx(session, shop=load_shop(session), catalogue=catalogue, now=MORNING)).by_article == {}
    )
    with pytest.raises(Refused):
        arrive(ctx(session, who=WHO, catalogue=catalogue, now=MORNING), delivery.id, 200)


def test_what_came_is_not_withdrawn(session, catalogue):
    delivery = _order(session, catalogue)
    arrive(ctx(session, who=WHO, catalogue=catalogue, now=MORNING), delivery.id, 200)
    with pytest.raises(Refused):
        withdraw(ctx(session, now=MORNING), delivery.id)


@pytest.mark.parametrize(
    ("packs", "due_on", "field"),
    [
        (0, TODAY, "packs"),
        (10_001, TODAY, "packs"),
        (1, TODAY - DAY, "due_on"),
        (1, TODAY + 400 * DAY, "due_on"),
    ],
)
def test_what_cannot_be_ordered_is_refused(session, catalogue, packs, due_on, field):
    with pytest.raises(Refused) as refusal:
        _order(session, catalogue, packs, due_on)
    assert [*problems(refusal)] == [field]


@pytest.mark.parametrize(
    ("weekday", "lead", "today", "first"),
    [
        (3, 2, date(2026, 11, 21), date(2026, 11, 26)),  # a Saturday; the next Thursday
        (3, 2, date(2026, 11, 24), date(2026, 11, 26)),  # a Tuesday is the last day for it
        (3, 2, date(2026, 11, 25), date(2026, 12, 3)),  # too late by a day
        (None, 2, date(2026, 11, 21), date(2026, 11, 23)),
        (5, 0, date(2026, 11, 21), date(2026, 11, 21)),
    ],
)
def test_the_next_delivery_is_the_first_that_can_still_be_ordered(weekday, lead, today, first):
    stock_defaults = StockDefaults(weekday, lead, 12, 0, 2.0, 0.15)
    assert next_deliveries(stock_defaults, today) == (first, first + 7 * DAY)
