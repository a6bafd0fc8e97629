"""A part of an order that is handed over later than the rest: filled later, so that it is still up at the end."""

from datetime import timedelta

import pytest
from sqlalchemy import select

from app.actions.catalogue.designs import archive_design
from app.actions.orders.cancel import cancel_order
from app.actions.orders.hand_over import take_step, undo_step
from app.actions.orders.take import PART_GONE
from app.actions.records.catalogue import load_catalogue
from app.actions.records.history import history_of
from app.actions.records.taps import active_taps
from app.planning.window import Verdict
from app.quoting.checks import LATER_PART_TOO_EARLY, NO_LATER_TIME, NOT_BEFORE_THE_END
from app.quoting.errors import Refused
from app.quoting.quote import NO_MAIN_PART, make_quote, quote_if_waiting
from app.quoting.request import HandOver
from app.quoting.states import HandOverStep, OrderPart
from app.store.models import BalloonTypeRow
from app.store.queries.pickups import pickups_of_day
from app.web.formats import Formats
from app.web.wording.answer import late_sentence
from tests.actions.builders import (
    ANYWAY,
    CALLED_OFF,
    MORNING,
    at,
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

STEPS = ("assembled", "weighted", "bagged", "ready", "handed over")


def _party(catalogue, *lines, **changes):
    """A foil at nine and two dozen 11-inch at a quarter past three, for a party from six to midnight."""
    wanted = {
        "ready_by": at(9),
        "later_at": at(15, 15),
        "event_start": at(18),
        "lasts_until": at(0, days=1),
    }
    lines = lines or (line(catalogue, "18 in foil", 1), line(catalogue, later=True))
    return order_request(catalogue, *lines, **(wanted | changes))


def _steps(session, order, part, now=None):
    for step in STEPS:
        key = f"{order.number} {step} {part}"
        context = ctx(session, who="Isolde", now=now or at(15, 30))
        take_step(context, order.number, HandOverStep(step), key, part=part, sure=ANYWAY)


def test_each_part_has_its_own_window(shop, catalogue):
    quote = make_quote(_party(catalogue), shop, catalogue, MORNING)
    foil, latex = quote.batches
    assert (foil.ready_by, latex.ready_by) == (at(9), at(15, 15))
    assert latex.window.not_before == at(14, 35)
    assert quote.float_verdict is Verdict.SAFE


def test_without_it_the_latex_would_be_a_no(shop, catalogue):
    together = _party(catalogue, line(catalogue, "18 in foil", 1), line(catalogue), later_at=None)
    assert make_quote(together, shop, catalogue, MORNING).float_verdict is Verdict.WONT_LAST


def test_the_latex_of_a_design_comes_later_and_its_foil_does_not(session, shop, catalogue):
    design = bouquet(session, catalogue)
    catalogue = load_catalogue(session)
    quote = make_quote(_party(catalogue, design_line(design, 2, later=True)), shop, catalogue, MORNING)
    assert {batch.fill.balloon_type.name: batch.ready_by for batch in quote.batches} == {
        "18 in foil": at(9),
        "11 in latex": at(15, 15),
    }
    assert (
        quote.total_minor
        == make_quote(_party(catalogue, design_line(design, 2)), shop, catalogue, MORNING).total_minor
    )


def test_a_delivered_part_is_on_the_way_as_long_as_the_first(shop, catalogue):
    van = {"hand_over": HandOver.DELIVER, "travel_minutes": 30, "arrives_at": at(9, 30), "address": "4 Mill Lane"}
    latex = make_quote(_party(catalogue, **van), shop, catalogue, MORNING).batches[1]
    assert [leg.ends for leg in latex.float_plan.legs] == [at(15, 15), at(15, 45), at(0, days=1)]


def test_the_order_is_handed_over_when_both_parts_are(session, catalogue):
    order = take(session, _party(catalogue))
    foil, latex = order.batches
    tap(session, foil, "finish", now=at(8))
    _steps(session, order, OrderPart.MAIN, now=at(9))
    assert order.state == "open"
    tap(session, latex, "finish", now=at(15))
    _steps(session, order, OrderPart.LATER, now=at(15, 15))
    assert (order.state, order.handed_over_at) == ("handed over", at(15, 15))
    acts = [entry.act for entry in history_of(session, order)]
    assert acts == ["saved", "handed over (main part)", "handed over (later part)"]


def test_a_part_waits_for_its_own_balloons_only(session, catalogue):
    order = take(session, _party(catalogue))
    tap(session, order.batches[0], "finish", now=at(8))
    take_step(ctx(session, who="Isolde", now=at(8, 30)), order.number, HandOverStep.ASSEMBLED, "first", sure=ANYWAY)
    with pytest.raises(Refused) as refusal:
        take_step(
            ctx(session, who="Isolde", now=at(8, 30)),
            order.number,
            HandOverStep.ASSEMBLED,
            "later",
            part=OrderPart.LATER,
            sure=ANYWAY,
        )
    assert set(problems(refusal)) == {"step"}


def test_filling_the_later_part_leaves_the_first_ones_steps(session, catalogue):
    order = take(session, _party(catalogue))
    tap(session, order.batches[0], "finish", now=at(8))
    take_step(ctx(session, who="Isolde", now=at(8, 30)), order.number, HandOverStep.ASSEMBLED, "first", sure=ANYWAY)
    tap(session, order.batches[1], "fill", now=at(14, 40), count=3)
    assert [tap.act for tap in active_taps(session, order.id, None)] == ["assembled"]


def test_undoing_one_hand_over_opens_the_order_again(session, catalogue):
    order = take(session, _party(catalogue))
    for batch in order.batches:
        tap(session, batch, "finish", now=at(14, 40))
    _steps(session, order, OrderPart.MAIN)
    _steps(session, order, OrderPart.LATER)
    undo_step(ctx(session, who="Isolde", now=at(15, 30)), order.number, active_taps(session, order.id, None)[-1].id)
    assert order.state == "open"
    assert history_of(session, order)[-1].act == "hand-over undone (later part)"


def test_the_pick_ups_show_both_in_their_order(session, catalogue):
    first = take(session, _party(catalogue)).number
    take(session, order_request(catalogue, ready_by=at(12), event_start=at(13), lasts_until=at(15)), key="key-2")
    session.flush()
    rows = pickups_of_day(session, at(0), at(0, days=1), is_today=True)
    assert [(row.number, row.part, row.leaves_at) for row in rows] == [
        (first, OrderPart.MAIN, at(9)),
        (first + 1, OrderPart.MAIN, at(12)),
        (first, OrderPart.LATER, at(15, 15)),
    ]
    assert [(one.text, one.colours) for one in rows[0].lines] == [("1 × 18 in foil", ("red",))]
    assert [(one.text, one.colours) for one in rows[2].lines] == [("24 × 11 in latex", ("red",))]


def test_a_part_of_yesterday_that_is_gone_is_not_shown_again(session, catalogue):
    order = take(session, _party(catalogue, ready_by=at(17), later_at=at(9, days=1), event_start=at(10, days=1),
                                 lasts_until=at(14, days=1)))  # fmt: skip
    tap(session, order.batches[0], "finish", now=at(16))
    _steps(session, order, OrderPart.MAIN, now=at(17))
    session.flush()
    tomorrow = pickups_of_day(session, at(0, days=1), at(0, days=2), is_today=True)
    assert [row.part for row in tomorrow] == [OrderPart.LATER]


def test_moving_its_hour_keeps_what_is_filled_of_it(session, catalogue):
    order = take(session, _party(catalogue))
    tap(session, order.batches[0], "finish", now=at(8, 30))
    tap(session, order.batches[1], "fill", now=at(14, 40), count=10)
    overdue = {"bench_override": "The foil is filled and only needs its ribbon."}
    change(session, order, _party(catalogue, later_at=at(15, 30), **overdue), now=at(14, 50))
    assert [(batch.part, batch.filled) for batch in order.batches] == [(OrderPart.MAIN, 1), (OrderPart.LATER, 10)]


def test_it_needs_its_hour(session, catalogue):
    with pytest.raises(Refused) as refusal:
        take(session, _party(catalogue, later_at=None))
    assert problems(refusal)["later_at"] == [NO_LATER_TIME]


def test_it_must_leave_after_the_first(session, catalogue):
    with pytest.raises(Refused) as refusal:
        take(session, _party(catalogue, later_at=at(9)))
    assert problems(refusal)["later_at"] == [LATER_PART_TOO_EARLY]


def test_it_must_leave_before_the_end(session, catalogue):
    with pytest.raises(Refused) as refusal:
        take(session, _party(catalogue, later_at=at(0, days=1) + timedelta(minutes=1)))
    assert problems(refusal)["later_at"] == [NOT_BEFORE_THE_END]


def test_something_must_be_left_for_the_first_hand_over(session, catalogue):
    with pytest.raises(Refused) as refusal:
        take(session, _party(catalogue, line(catalogue, later=True)))
    assert problems(refusal)["later_at"] == [NO_MAIN_PART]


def test_what_is_filled_stays_filled_when_its_line_is_ticked_or_unticked(session, catalogue):
    order = take(
        session,
        _party(catalogue, line(catalogue, "18 in foil", 1), line(catalogue), later_at=None, accepted_risk="Fine."),
    )
    for batch in order.batches:
        tap(session, batch, "finish", now=at(8), sure=True)
    change(session, order, _party(catalogue, accepted_risk="Fine."), now=at(8, 10))
    assert [(batch.part, batch.filled, batch.quantity) for batch in order.batches] == [
        (OrderPart.MAIN, 1, 1),
        (OrderPart.LATER, 24, 24),
    ]
    together = (line(catalogue, "18 in foil", 1), line(catalogue))
    change(session, order, _party(catalogue, *together, later_at=None, accepted_risk="Fine."), now=at(8, 20))
    assert [(batch.part, batch.filled) for batch in order.batches] == [(OrderPart.MAIN, 1), (OrderPart.MAIN, 24)]


def test_a_line_ticked_later_keeps_its_price_as_sold(session, catalogue):
    order = take(
        session,
        _party(catalogue, line(catalogue, "18 in foil", 1), line(catalogue), later_at=None, accepted_risk="Fine."),
    )
    sold = order.total_minor
    for row in session.scalars(select(BalloonTypeRow)):
        row.price_minor *= 2
    session.flush()
    change(session, order, _party(catalogue))
    assert order.total_minor == sold
    assert order.batches[1].part is OrderPart.LATER


def test_a_design_no_longer_sold_can_still_be_handed_over_in_two_parts(session, catalogue):
    design = bouquet(session, catalogue)
    plain = _party(load_catalogue(session), design_line(design), later_at=None, accepted_risk="Fine.")
    order = take(session, plain)
    archive_design(session, design.id, MORNING)
    change(session, order, _party(load_catalogue(session), design_line(design, later=True)))
    assert sorted((batch.balloon_type_name, batch.part) for batch in order.batches) == [
        ("11 in latex", OrderPart.LATER),
        ("18 in foil", OrderPart.MAIN),
    ]


def test_taking_out_what_was_to_follow_closes_an_order_whose_first_part_is_gone(session, catalogue):
    order = take(session, _party(catalogue))
    tap(session, order.batches[0], "finish", now=at(8))
    _steps(session, order, OrderPart.MAIN, now=at(9))
    change(session, order, _party(catalogue, line(catalogue, "18 in foil", 1), later_at=None), now=at(10))
    assert (order.state, order.handed_over_at) == ("handed over", at(10))
    assert [entry.act for entry in history_of(session, order)][-2:] == ["changed", "handed over"]


def test_what_has_left_is_changed_no_more(session, catalogue):
    order = take(session, _party(catalogue))
    tap(session, order.batches[0], "finish", now=at(8))
    _steps(session, order, OrderPart.MAIN, now=at(9))
    with pytest.raises(Refused) as refusal:
        change(
            session,
            order,
            _party(catalogue, line(catalogue, "18 in foil", 2), line(catalogue, later=True)),
            now=at(10),
        )
    assert problems(refusal)["order"] == [PART_GONE[OrderPart.MAIN]]


def test_an_order_of_which_a_part_has_left_is_not_cancelled(session, catalogue):
    order = take(session, _party(catalogue))
    tap(session, order.batches[0], "finish", now=at(8))
    _steps(session, order, OrderPart.MAIN, now=at(9))
    with pytest.raises(Refused) as refusal:
        cancel_order(ctx(session, who="Maren", now=at(10)), order.number, order.version, CALLED_OFF)
    assert set(problems(refusal)) == {"order"}


def test_a_delivered_part_must_arrive_before_the_end(session, catalogue):
    van = {"hand_over": HandOver.DELIVER, "travel_minutes": 120, "arrives_at": at(11), "address": "4 Mill Lane"}
    with pytest.raises(Refused) as refusal:
        take(session, _party(catalogue, **van, later_at=at(22, 30)))
    assert problems(refusal)["later_at"] == [NOT_BEFORE_THE_END]


def test_one_hand_does_the_first_part_before_the_later(shop, catalogue):
    """A hundred foils at eleven and a hundred 16-inch at half past: the hand must be free for the later ones."""
    lines = line(catalogue, "18 in foil", 100), line(catalogue, "16 in latex", 100, later=True)
    hours = {"ready_by": at(17), "later_at": at(17, 30), "event_start": at(18), "lasts_until": at(20)}
    foils, latex = make_quote(order_request(catalogue, *lines, **hours), shop, catalogue, MORNING).runs
    assert latex.first_fill_by < foils.ready_by
    work = foils.batches[0].fill.work
    assert foils.first_fill_by + work + timedelta(minutes=10) <= latex.first_fill_by


def test_waiting_for_a_late_later_part_moves_only_that_part(shop, catalogue):
    now = at(13)
    lines = line(catalogue, "18 in foil", 1), line(catalogue, quantity=60, later=True)
    hours = {"ready_by": at(13, 30), "later_at": at(13, 45), "event_start": at(13, 45), "lasts_until": at(20)}
    late = make_quote(order_request(catalogue, *lines, **hours), shop, catalogue, now)
    assert late.late_run.part is OrderPart.LATER
    wait = quote_if_waiting(late, shop, catalogue, now)
    assert wait.request.ready_by == at(13, 30)
    assert wait.request.later_at == late.ready_at > at(13, 45)
    ready = [late.ready_at.hour, late.ready_at.minute]
    missed = (late.ready_at - at(13, 45)).seconds // 60
    assert numbers_in(late_sentence(late, Formats.of(shop), now, wait))[:3] == [*ready, missed]
