"""A crew takes gas and balloons along and fills them where the event is."""

from datetime import timedelta

import pytest

from app.actions.orders.hand_over import take_step
from app.actions.orders.overrides import NO_BENCH_OVERRIDE
from app.actions.records.history import history_of
from app.actions.records.shop import load_shop
from app.actions.shop.office import change_settings, replan_open_orders
from app.planning.window import Verdict
from app.quoting.alternatives import find_alternatives
from app.quoting.checks import LATER_PART_AT_VENUE, NO_EVENT, NO_TIME_TO_FILL, TOO_LATE, check_hours
from app.quoting.errors import Refused
from app.quoting.quote import STARTED_AT_BENCH, make_quote, quote_if_waiting
from app.quoting.request import HandOver, Occasion
from app.quoting.states import HandOverStep
from app.quoting.ways import AlternativeChange
from tests.actions.builders import ANYWAY, MORNING, at, change, ctx, line, order_request, problems, take, tap
from tests.numbers_in import numbers_in

MIDNIGHT = at(0, days=1)


def _there(catalogue, *lines, **changes):
    """Two dozen 11-inch for a party from six to midnight; the crew is let in at three."""
    crew = {
        "hand_over": HandOver.VENUE,
        "ready_by": at(14, 30),
        "arrives_at": at(15),
        "travel_minutes": 30,
        "set_up_minutes": 20,
        "hanging_minutes": 25,
        "crew": 2,
        "address": "The Corn Hall, 1 High Street",
        "event_start": at(18),
        "lasts_until": MIDNIGHT,
    }
    return order_request(catalogue, *lines, **(crew | changes))


def test_the_worked_case_is_safe_when_filled_there(shop, catalogue):
    """Worked case 1, computed independently: 20 minutes of filling, 10 of finishing. With 22 of the 24
    promised, not before 14:35 (one balloon alone: 14:05)."""
    quote = make_quote(
        _there(catalogue, set_up_minutes=0, arrives_at=at(13), ready_by=at(12, 30)), shop, catalogue, MORNING
    )
    window = quote.batches[0].window
    assert window.not_before == at(14, 35)
    assert window.inflate_by == at(17, 5)
    assert window.verdict is Verdict.SAFE


def test_nobody_fills_before_the_crew_is_let_in_and_set_up(shop, catalogue):
    window = make_quote(_there(catalogue), shop, catalogue, MORNING).batches[0].window
    assert window.not_before == at(15, 20)


def test_the_shops_hours_do_not_bind_the_crew(shop, catalogue):
    night = {"arrives_at": at(19), "ready_by": at(18, 30), "event_start": at(22), "lasts_until": at(3, days=1)}
    quote = make_quote(_there(catalogue, **night), shop, catalogue, MORNING)
    assert quote.batches[0].window.inflate_by == at(21, 5)
    assert quote.float_verdict is Verdict.SAFE


def test_it_cannot_be_ready_when_the_crew_comes_too_late_to_hang_them(shop, catalogue):
    late = make_quote(_there(catalogue, arrives_at=at(17), ready_by=at(16, 30)), shop, catalogue, MORNING)
    assert late.float_verdict is Verdict.SAFE
    assert late.ready_at == at(18)
    assert late.late_run.ready_by == at(17, 35)
    assert quote_if_waiting(late, shop, catalogue, MORNING) is None


def test_the_gas_is_measured_at_the_venue(shop, catalogue):
    """Filled in the heat, an 11-inch takes its full size there."""
    quote = make_quote(_there(catalogue, venue_celsius=33.0), shop, catalogue, MORNING)
    assert quote.batches[0].fill.size.diameter_in == 11
    assert quote.batches[0].fill.filling.air.celsius == 33


def test_the_fee_is_added_and_kept_as_sold(session, catalogue):
    order = take(session, _there(catalogue))
    assert order.venue_minor == load_shop(session).venue_minor == 8000
    assert order.total_minor == order.venue_minor + sum(row.unit_minor * row.quantity for row in order.lines)
    change_settings(session, {"venue_minor": 12000})
    change(session, order, _there(catalogue, notes="Back door"))
    assert order.venue_minor == 8000


def test_another_order_is_not_charged_for_it(session, catalogue):
    assert take(session, order_request(catalogue)).venue_minor == 0


def test_the_order_keeps_the_crew_and_leaves_by(session, catalogue):
    order = take(session, _there(catalogue))
    assert (order.crew, order.set_up_minutes, order.hanging_minutes) == (2, 20, 25)
    assert order.ready_by == at(16, 15)
    assert order.batches[0].ready_by == at(17, 35)
    told = dict(history_of(session, order)[0].description)
    assert numbers_in(told["crew"]) == [2, 20, 25]


def test_a_margin_that_the_shop_sets_moves_a_crew_that_has_not_left(session, catalogue):
    order = take(session, _there(catalogue))
    change_settings(session, {"crew_margin_minutes": 20})
    assert replan_open_orders(ctx(session, now=at(14))) == []
    assert order.ready_by == at(15, 55)
    last = history_of(session, order)[-1]
    assert [numbers_in(text)[-2:] for _, *texts in last.changes for text in texts] == [[16, 15], [15, 55]]
    change_settings(session, {"crew_margin_minutes": 0})
    replan_open_orders(ctx(session, now=at(15, 55)))
    assert order.ready_by == at(15, 55)


def test_the_crew_packs_before_it_fills_and_hangs_after(session, catalogue):
    order = take(session, _there(catalogue))
    for number, step in enumerate(("packed",)):
        take_step(
            ctx(session, who="Isolde", now=at(14)), order.number, HandOverStep(step), f"step {number}", sure=ANYWAY
        )
    tap(session, order.batches[0], "finish", now=at(15, 30))
    for number, step in enumerate(("assembled", "weighted", "ready", "handed over"), 1):
        take_step(
            ctx(session, who="Isolde", now=at(16)), order.number, HandOverStep(step), f"step {number}", sure=ANYWAY
        )
    assert order.state == "handed over"


def test_what_was_packed_stays_packed_while_balloons_are_filled(session, catalogue):
    order = take(session, _there(catalogue))
    context = ctx(session, who="Isolde", now=at(14))
    take_step(context, order.number, HandOverStep.PACKED, "packed", sure=ANYWAY)
    tap(session, order.batches[0], "fill", now=at(15, 25), count=5)
    with pytest.raises(Refused) as refusal:
        take_step(
            ctx(session, who="Isolde", now=at(15, 30)), order.number, HandOverStep.PACKED, "again", sure=ANYWAY
        )
    assert "“packed”" in problems(refusal)["step"][0]


def test_it_needs_the_hour_at_which_the_event_begins(session, catalogue):
    with pytest.raises(Refused) as refusal:
        take(session, _there(catalogue, occasion=Occasion.UNTIL, event_start=None))
    assert problems(refusal)["hand_over"] == [NO_EVENT]


def test_a_crew_let_in_after_the_event_has_begun_is_refused(session, catalogue):
    with pytest.raises(Refused) as refusal:
        take(session, _there(catalogue, arrives_at=at(19), ready_by=at(18, 30)))
    assert problems(refusal)["ready_by"][0] == TOO_LATE[HandOver.VENUE]


def test_a_crew_without_time_to_fill_is_refused(session, catalogue):
    with pytest.raises(Refused) as refusal:
        take(session, _there(catalogue, arrives_at=at(17, 20), ready_by=at(16, 50)))
    assert problems(refusal)["ready_by"] == [NO_TIME_TO_FILL]


def test_a_crew_let_in_too_late_is_told_when_it_must_be(shop, catalogue):
    wanted = _there(catalogue, arrives_at=at(17), ready_by=at(16, 30))

    def ask(one):
        check_hours(one, MORNING)
        return make_quote(one, shop, catalogue, MORNING)

    ways = {way.change: way.quote for way in find_alternatives(ask(wanted), ask, shop, catalogue, MORNING)}
    assert ways[AlternativeChange.VENUE].request.arrives_at == at(16, 45)
    assert ways[AlternativeChange.VENUE].float_verdict is Verdict.SAFE
    assert ways[AlternativeChange.VENUE].late_run is None


def test_a_crew_let_in_too_late_needs_a_reason_and_a_change_to_it_too(session, catalogue):
    late = {"arrives_at": at(17), "ready_by": at(16, 30)}
    with pytest.raises(Refused) as refusal:
        take(session, _there(catalogue, **late))
    assert problems(refusal) == {"bench_override": [NO_BENCH_OVERRIDE.sentence]}
    order = take(session, _there(catalogue, bench_override="They begin with cake.", **late))
    assert order.bench_override == "They begin with cake."
    in_time = take(session, _there(catalogue), key="in-time")
    with pytest.raises(Refused) as refusal:
        change(session, in_time, _there(catalogue, **late))
    assert problems(refusal) == {"bench_override": [NO_BENCH_OVERRIDE.sentence]}


def test_what_was_begun_at_the_bench_is_finished_there(session, catalogue):
    order = take(session, order_request(catalogue, event_start=at(18), ready_by=at(15), lasts_until=at(20)))
    tap(session, order.batches[0], "start", now=at(14, 10), sure=True)
    with pytest.raises(Refused) as refusal:
        change(session, order, _there(catalogue, lasts_until=at(20)), now=at(14, 15))
    assert problems(refusal)["hand_over"] == [STARTED_AT_BENCH]


def test_a_part_of_it_cannot_come_later(session, catalogue):
    with pytest.raises(Refused) as refusal:
        take(
            session,
            _there(catalogue, line(catalogue, later=True), line(catalogue, "18 in foil", 1), later_at=at(17)),
        )
    assert problems(refusal)["later_at"] == [LATER_PART_AT_VENUE]


def test_a_longer_hanging_never_gives_more_time(shop, catalogue):
    starts = [
        make_quote(_there(catalogue, hanging_minutes=minutes), shop, catalogue, MORNING)
        .batches[0]
        .window.inflate_by
        for minutes in range(0, 120, 10)
    ]
    assert starts == sorted(starts, reverse=True)
    assert starts[0] - starts[-1] == timedelta(minutes=110)
