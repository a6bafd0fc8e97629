"""Where a part of an order stands in the holding area: saved, changed, removed, refused, and in the history."""

import pytest

from app.actions.errors import NotFound
from app.actions.orders.cancel import cancel_order
from app.actions.orders.holding_place import MAX_PLACE_LENGTH, set_holding_place
from app.actions.records.history import board_version, history_of
from app.quoting.errors import Refused
from app.quoting.states import OrderPart
from app.store.queries.order_batches import batches_of_order
from app.store.queries.pickups import pickups_of_order
from tests.actions.builders import CALLED_OFF, at, change, ctx, line, order_request, problems, take


@pytest.fixture
def order(session, catalogue):
    return take(session, order_request(catalogue))


def _put(session, order, place, now=None, part=OrderPart.MAIN):
    return set_holding_place(ctx(session, who="Isolde", now=now or at(9)), order.number, place, part)


def test_it_is_saved_and_the_history_says_who_put_it_where(session, order):
    before = board_version(session)
    assert _put(session, order, "  Rail 3,  left ").holding_place == "Rail 3, left"
    _put(session, order, "Net by the door", now=at(10))
    assert _put(session, order, "", now=at(11)).holding_place is None
    told = [(one.act, one.who, one.at, one.changes) for one in history_of(session, order)[1:]]
    what = "place in the holding area"
    assert told == [
        ("placed", "Isolde", at(9), [[what, "", "Rail 3, left"]]),
        ("placed", "Isolde", at(10), [[what, "Rail 3, left", "Net by the door"]]),
        ("placed", "Isolde", at(11), [[what, "Net by the door", ""]]),
    ]
    assert (order.version, board_version(session)) == (1, before + 3)


def test_the_same_place_again_changes_nothing(session, order):
    _put(session, order, "Rail 3")
    before = board_version(session)
    _put(session, order, "Rail 3 ", now=at(10))
    assert (len(history_of(session, order)), board_version(session)) == (2, before)


def test_a_place_that_does_not_fit_on_a_tag_is_refused(session, order):
    with pytest.raises(Refused) as refusal:
        _put(session, order, "x" * (MAX_PLACE_LENGTH + 1))
    assert set(problems(refusal)) == {"place"}
    assert order.holding_place is None
    assert _put(session, order, "x" * MAX_PLACE_LENGTH).holding_place == "x" * MAX_PLACE_LENGTH


def test_what_is_cancelled_stands_nowhere_new(session, order):
    _put(session, order, "Rail 3")
    cancel_order(ctx(session), order.number, 1, CALLED_OFF)
    with pytest.raises(Refused) as refusal:
        _put(session, order, "Rail 4")
    assert set(problems(refusal)) == {"place"}
    assert _put(session, order, "Rail 3").holding_place == "Rail 3"


def test_an_order_that_does_not_exist_stands_nowhere(session):
    with pytest.raises(NotFound):
        set_holding_place(ctx(session), 12345, "Rail 3")


@pytest.fixture
def in_two_parts(session, catalogue):
    lines = (line(catalogue, "18 in foil", 1), line(catalogue, later=True))
    hours = {"ready_by": at(9), "later_at": at(15, 15), "event_start": at(18), "lasts_until": at(0, days=1)}
    return take(session, order_request(catalogue, *lines, **hours))


def test_each_part_stands_at_a_place_of_its_own(session, in_two_parts):
    _put(session, in_two_parts, "Rail 3")
    _put(session, in_two_parts, "Net", part=OrderPart.LATER)
    assert {row.part: row.place for row in pickups_of_order(session, in_two_parts.number)} == {
        OrderPart.MAIN: "Rail 3",
        OrderPart.LATER: "Net",
    }
    batches = batches_of_order(session, in_two_parts.id)
    assert {row.part: row.holding_place for row in batches} == {OrderPart.MAIN: "Rail 3", OrderPart.LATER: "Net"}
    (changes,) = (one.changes for one in history_of(session, in_two_parts)[2:])
    assert changes == [["place in the holding area (later part)", "", "Net"]]


def test_an_order_without_a_later_part_has_no_place_for_one(session, order):
    with pytest.raises(Refused) as refusal:
        _put(session, order, "Net", part=OrderPart.LATER)
    assert set(problems(refusal)) == {"place"}


def test_the_place_goes_with_the_later_part(session, catalogue, in_two_parts):
    _put(session, in_two_parts, "Net", part=OrderPart.LATER)
    change(session, in_two_parts, order_request(catalogue, line(catalogue, "18 in foil", 1), event_start=at(18)))
    (row,) = pickups_of_order(session, in_two_parts.number)
    assert (row.place, in_two_parts.later_holding_place) == ("", None)
