"""What is stored of an order says to which of its parts it belongs."""

from app.actions.records.catalogue import load_catalogue
from app.actions.records.open_work import order_number_of, work_key
from app.actions.records.taps import active_taps, handed_over_parts, parts_of
from app.quoting.states import OrderPart
from tests.actions.builders import at, bouquet, design_line, order_request, take, tap

HOURS = {"ready_by": at(9), "later_at": at(14, 45), "event_start": at(18), "lasts_until": at(23)}


def _taken(session, catalogue):
    """Returns an order for a bouquet whose foil leaves first and whose latex leaves later."""
    design = bouquet(session, catalogue)
    catalogue = load_catalogue(session)
    return take(session, order_request(catalogue, design_line(design, later=True), **HOURS))


def test_what_was_sold_says_which_balloons_belong_to_which_part(session, catalogue):
    order = _taken(session, catalogue)
    (sold,) = order.lines
    names = {batch.balloon_type_id: batch.balloon_type_name for batch in order.batches}
    assert sold.part is OrderPart.LATER
    assert {names[share["balloon_type_id"]]: share["part"] for share in sold.parts} == {
        "18 in foil": "main",
        "11 in latex": "later",
    }


def test_a_tap_on_the_bench_belongs_to_the_part_of_its_batch(session, catalogue):
    order = _taken(session, catalogue)
    for batch in order.batches:
        tap(session, batch, "fill", now=at(14, 10), count=1)
    taps = {batch.balloon_type_name: active_taps(session, order.id, batch.id) for batch in order.batches}
    assert {name: [one.part for one in pressed] for name, pressed in taps.items()} == {
        "18 in foil": [OrderPart.MAIN],
        "11 in latex": [OrderPart.LATER],
    }


def test_an_order_has_its_parts_before_any_of_them_is_gone(session, catalogue):
    order = _taken(session, catalogue)
    assert parts_of(order) == {OrderPart.MAIN, OrderPart.LATER}
    assert handed_over_parts(session, order) == set()


def test_the_work_for_each_part_has_a_key_of_its_own_that_names_the_order():
    keys = [work_key(1001, part) for part in OrderPart]
    assert keys == ["1001", "1001 later"]
    assert {order_number_of(key) for key in keys} == {"1001"}
    assert [part.other for part in OrderPart] == [OrderPart.LATER, OrderPart.MAIN]
