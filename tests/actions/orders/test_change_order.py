"""Changing an order: what was and what is, what the bench has begun, and what the shop sells no more."""

from dataclasses import replace

import pytest

from app.actions.catalogue.designs import archive_design
from app.actions.errors import ChangedMeanwhile, NotFound
from app.actions.orders.cancel import cancel_order
from app.actions.orders.overrides import NO_ACCEPTED_RISK
from app.actions.records.history import history_of
from app.actions.records.rebuild_request import rebuild_request
from app.actions.records.shop import load_shop
from app.quoting.errors import Refused
from app.quoting.parts import DESIGN_NO_LONGER_SOLD
from app.store.models import BalloonTypeRow, Counter
from app.store.queries.order_batches import batches_of_order
from app.web.formats import Formats
from app.web.wording.batches import changed_since_start
from tests.actions.builders import (
    CALLED_OFF,
    EIGHT,
    MORNING,
    at,
    balloon_type_id,
    bouquet,
    change,
    ctx,
    design_line,
    line,
    order_request,
    problems,
    take,
    tap,
)
from tests.numbers_in import numbers_in


def _changes_of(session, order):
    return {what: (was, now) for what, was, now in history_of(session, order)[-1].changes}


def _board(session):
    session.expire_all()
    return session.get(Counter, "board").value


def _shown_at_the_bench(session, order):
    session.flush()
    formats = Formats.of(load_shop(session))
    return {row.key: changed_since_start(row, formats) for row in batches_of_order(session, order.id)}


def test_the_history_says_what_was_and_what_is(session, catalogue, order):
    change(session, order, order_request(catalogue, customer="Wil Hart", ready_by=at(13)), now=at(8))
    entry = history_of(session, order)[-1]
    assert (entry.act, entry.who, entry.at, entry.order_version, order.version) == (
        "changed",
        "Tobiah",
        at(8),
        2,
        2,
    )
    assert _changes_of(session, order) == {
        "customer": ("Wilhelmina Hart", "Wil Hart"),
        "ready by": ("Sat 21 Nov 2026 14:00", "Sat 21 Nov 2026 13:00"),
    }


def test_a_line_more_or_less_is_told(session, catalogue):
    order = take(session, order_request(catalogue, line(catalogue), line(catalogue, "12 in latex", quantity=2)))
    change(session, order, order_request(catalogue, line(catalogue, quantity=30)))
    told = _changes_of(session, order)
    assert told["line 1"] == ("24 × 11 in latex in red, helium", "30 × 11 in latex in red, helium")
    assert told["line 2"] == ("2 × 12 in latex in red, helium", "–")


def test_a_change_of_nothing_writes_no_history(session, order):
    board = _board(session)
    change(session, order, rebuild_request(order))
    assert (order.version, len(history_of(session, order)), _board(session)) == (1, 1, board)


def test_the_board_learns_of_a_change(session, catalogue, order):
    board = _board(session)
    change(session, order, order_request(catalogue, notes="Blue door."))
    assert _board(session) == board + 1


def test_a_stale_version_is_told_what_changed_and_saves_nothing(session, catalogue, order):
    change(session, order, order_request(catalogue, customer="First"))
    with pytest.raises(ChangedMeanwhile) as stale:
        change(session, order, order_request(catalogue, customer="Second"), version=1)
    assert [entry.changes for entry in stale.value.since] == [[["customer", "Wilhelmina Hart", "First"]]]
    session.expire_all()
    assert (order.customer, order.version, len(history_of(session, order))) == ("First", 2, 2)


def test_a_started_batch_keeps_its_key_and_says_what_came_on_top(session, catalogue, order):
    (batch,) = order.batches
    tap(session, batch, "start")
    key = batch.key
    change(session, order, order_request(catalogue, line(catalogue, quantity=40, colours="30 red, 10 gold")))
    assert [(b.key, b.quantity, b.started_at) for b in order.batches] == [(key, 40, EIGHT)]
    shown = _shown_at_the_bench(session, order)
    assert shown.keys() == {key}
    (told,) = shown[key]
    assert "+6 red, +10 gold" in told
    assert numbers_in(told) == [6, 10]


def test_fewer_of_a_started_batch_are_told_with_a_minus(session, catalogue, order):
    tap(session, order.batches[0], "start")
    change(session, order, order_request(catalogue, line(catalogue, quantity=20)))
    (told,) = _shown_at_the_bench(session, order)[order.batches[0].key]
    assert "−4 red" in told
    assert numbers_in(told) == [4]


def test_a_new_fill_size_of_a_started_batch_is_told(session, catalogue, order):
    tap(session, order.batches[0], "start")
    change(session, order, order_request(catalogue, venue_celsius=38.0, accepted_risk="It is hot."))
    ((told,),) = _shown_at_the_bench(session, order).values()
    assert numbers_in(told) == [10.75, 11]


def test_a_started_batch_that_nobody_wants_any_more_stays_with_nothing_to_fill(session, catalogue):
    order = take(session, order_request(catalogue, line(catalogue), line(catalogue, "12 in latex", quantity=5)))
    started = order.batches[0]
    tap(session, started, "start")
    change(session, order, order_request(catalogue, line(catalogue, "12 in latex", quantity=5)))
    assert (order.batches[0].key, order.batches[0].quantity) == (started.key, 0)
    assert len(order.batches) == 2
    (told,) = _shown_at_the_bench(session, order)[started.key]
    assert "−24 red" in told
    assert numbers_in(told) == [24]


def test_a_batch_not_yet_started_that_nobody_wants_any_more_goes(session, catalogue):
    order = take(session, order_request(catalogue, line(catalogue), line(catalogue, "12 in latex", quantity=5)))
    change(session, order, order_request(catalogue, line(catalogue, "12 in latex", quantity=5)))
    session.expire_all()
    assert [batch.balloon_type_name for batch in order.batches] == ["12 in latex"]


def test_the_key_of_a_batch_that_went_is_not_given_to_another(session, catalogue):
    small, large = line(catalogue, "12 in latex", quantity=5), line(catalogue, "16 in latex", quantity=5)
    order = take(session, order_request(catalogue, line(catalogue), small))
    gone = order.batches[1].key
    change(session, order, order_request(catalogue, line(catalogue)))
    change(session, order, order_request(catalogue, line(catalogue), large))
    assert gone not in {batch.key for batch in order.batches}


def test_a_filled_batch_that_grows_is_no_longer_filled(session, catalogue, order):
    (batch,) = order.batches
    tap(session, batch, "finish", now=at(9))
    assert batch.filled_at == at(9)
    change(session, order, order_request(catalogue, line(catalogue, quantity=30)), now=at(10))
    assert (batch.filled, batch.filled_at) == (24, None)
    tap(session, batch, "finish", now=at(11))
    assert (batch.filled, batch.filled_at) == (30, at(11))


def test_a_half_filled_batch_that_shrinks_to_what_is_filled_is_filled(session, catalogue, order):
    (batch,) = order.batches
    tap(session, batch, "fill", now=at(9), count=10)
    change(session, order, order_request(catalogue, line(catalogue, quantity=10)), now=at(10))
    assert batch.filled_at == at(9)


def test_kept_lines_keep_their_price_and_new_ones_pay_the_new(session, catalogue, order):
    session.get(BalloonTypeRow, balloon_type_id(catalogue)).price_minor = 500
    session.flush()
    change(
        session,
        order,
        order_request(catalogue, line(catalogue), line(catalogue, "12 in latex", quantity=1), notes="More."),
    )
    assert [row.unit_minor for row in order.lines] == [110, 120]
    assert order.total_minor == 24 * 110 + 120
    change(session, order, order_request(catalogue, line(catalogue, quantity=25)))
    assert order.total_minor == 25 * 500


def test_a_retired_design_stays_in_the_order_that_has_it(session, catalogue):
    design = bouquet(session, catalogue)
    order = take(session, order_request(catalogue, design_line(design, 2)))
    archive_design(session, design.id, MORNING)
    change(session, order, order_request(catalogue, design_line(design, 2), notes="Side door."))
    assert (order.notes, order.total_minor) == ("Side door.", 5200)


def test_a_retired_design_is_not_newly_chosen(session, catalogue):
    design = bouquet(session, catalogue)
    order = take(session, order_request(catalogue))
    archive_design(session, design.id, MORNING)
    with pytest.raises(Refused) as refusal:
        change(session, order, order_request(catalogue, line(catalogue), design_line(design)))
    assert problems(refusal)["what", 1] == [DESIGN_NO_LONGER_SOLD]


def test_hours_that_were_fine_when_it_was_taken_may_be_past_by_now(session, catalogue, order):
    tap(session, order.batches[0], "finish", now=at(12))
    change(session, order, order_request(catalogue, notes="They are late."), now=at(16))
    assert order.notes == "They are late."
    with pytest.raises(Refused) as refusal:
        change(session, order, order_request(catalogue, ready_by=at(13)), now=at(16))
    assert list(problems(refusal)) == ["ready_by"]


def test_a_change_that_is_not_safe_asks_for_the_word(session, catalogue, order):
    until_monday = order_request(catalogue, lasts_until=at(9, days=2))
    with pytest.raises(Refused) as refusal:
        change(session, order, until_monday)
    assert refusal.value.problems == (NO_ACCEPTED_RISK,)
    change(session, order, replace(until_monday, accepted_risk="Fine."))
    assert (order.verdict, order.accepted_risk) == ("wont-last", "Fine.")


def test_a_cancelled_order_is_not_changed(session, catalogue, order):
    cancel_order(ctx(session, who="Maren", now=MORNING), order.number, 1, CALLED_OFF)
    with pytest.raises(Refused) as refusal:
        change(session, order, order_request(catalogue, notes="Too late."))
    assert "cancelled" in problems(refusal)["order"][0]


def test_there_is_nothing_to_change_in_an_order_that_never_was(session, catalogue, order):
    order.number = 999
    with pytest.raises(NotFound):
        change(session, type(order)(number=12345), order_request(catalogue), version=1)


def test_fewer_of_a_retired_kind_may_be_ordered(session, catalogue):
    order = take(session, order_request(catalogue, line(catalogue, quantity=4)))
    session.get(BalloonTypeRow, balloon_type_id(catalogue)).archived_at = MORNING
    fewer = replace(rebuild_request(order), lines=(line(catalogue, quantity=3, colours="white"),))
    assert change(session, order, fewer).batches[0].quantity == 3
    with pytest.raises(Refused):
        take(session, order_request(catalogue), key="another")
