"""On which day the helium runs out, with what is promised and what is asked about."""

from dataclasses import replace
from decimal import Decimal

import pytest
from sqlalchemy import event

from app.actions.gas.balance import gas_now
from app.actions.gas.moves import change_state
from app.actions.gas.outlook import gas_is_short, gas_outlook
from app.actions.orders.cancel import cancel_order, reopen_order
from app.actions.orders.overrides import NO_STOCK_OVERRIDE
from app.actions.orders.quick_sale import make_quick_sale
from app.craft.gas import PressureReading
from app.physics.balloon import Gas
from app.quoting.errors import Refused
from app.quoting.quote import make_quote
from app.quoting.states import CylinderState, TapAction
from app.store.models import PlannedStart
from tests.actions.builders import (
    BENCH_REASON,
    CALLED_OFF,
    EIGHT,
    MORNING,
    WHO,
    at,
    change,
    ctx,
    line,
    order_request,
    take,
    tap,
)
from tests.actions.cylinder_helpers import by_gauge, elevens, fill, in_use
from tests.actions.gas.test_readings import venue_order


def promised(session, shop, now, *asked):
    return sum(day.litres for day in gas_outlook(ctx(session, shop=shop, now=now), *asked).days)


def test_the_outlook_counts_what_is_still_to_fill_by_day(session, shop, catalogue):
    in_use(session, bar=150)
    order = take(session, order_request(catalogue))
    tap(session, order.batches[0], TapAction.FILL, EIGHT, count=4)
    later = {name: at(hour, days=2) for name, hour in (("ready_by", 14), ("event_start", 15), ("lasts_until", 17))}
    take(session, order_request(catalogue, **later), key="monday")
    outlook = gas_outlook(ctx(session, shop=shop, now=EIGHT))
    assert [(one.day.day, one.litres) for one in outlook.days] == [
        (21, pytest.approx(elevens(shop, 20))),
        (23, pytest.approx(elevens(shop, 24))),
    ]
    assert outlook.days[-1].left == pytest.approx(by_gauge(shop, 150) - elevens(shop, 48))
    assert outlook.short is None
    assert outlook.short_by == 0


def test_the_planned_start_says_the_day(session, shop, catalogue):
    in_use(session)
    order = take(session, order_request(catalogue))
    session.add(PlannedStart(batch_id=order.batches[0].id, starts_at=at(9, days=1)))
    session.flush()
    assert gas_outlook(ctx(session, shop=shop, now=MORNING)).days[0].day.day == 22


def test_a_venue_takes_its_gas_on_the_day_its_crew_leaves(session, shop, catalogue):
    in_use(session)
    night = {
        "ready_by": at(23, 30),
        "arrives_at": at(0, days=1),
        "event_start": at(1, 30, days=1),
        "lasts_until": at(9, days=1),
    }
    venue_order(session, catalogue, **night)
    assert gas_outlook(ctx(session, shop=shop, now=MORNING)).days[0].day.day == 21


def test_it_runs_out_on_the_first_day_that_is_short(session, shop, catalogue):
    in_use(session, bar=10)
    here = by_gauge(shop, 10)
    pieces = int(here / elevens(shop, 1)) - 2
    take(session, order_request(catalogue, line(catalogue, quantity=pieces), bench_override=BENCH_REASON))
    asked = make_quote(order_request(catalogue, line(catalogue, quantity=10)), shop, catalogue, MORNING)
    outlook = gas_outlook(ctx(session, shop=shop, now=MORNING), asked)
    assert outlook.order_litres == pytest.approx(elevens(shop, 10))
    assert outlook.short.day.day == 21
    assert outlook.short_by == pytest.approx(elevens(shop, pieces + 10) - here)
    assert gas_is_short(ctx(session, shop=shop, now=MORNING), asked)


def test_an_order_without_helium_is_not_short_of_it(session, shop, catalogue):
    take(session, order_request(catalogue))
    in_use(session, bar=2)
    asked = make_quote(order_request(catalogue, line(catalogue, gas=Gas.AIR)), shop, catalogue, MORNING)
    assert gas_outlook(ctx(session, shop=shop, now=MORNING)).short is not None
    assert not gas_is_short(ctx(session, shop=shop, now=MORNING), asked)


def test_spares_take_helium_too(session, shop, catalogue):
    in_use(session)
    careful = replace(shop, pricing=replace(shop.pricing, spares_percent=Decimal(10)))
    asked = make_quote(order_request(catalogue, line(catalogue, quantity=20)), careful, catalogue, MORNING)
    assert gas_outlook(ctx(session, shop=careful, now=MORNING), asked).order_litres == pytest.approx(
        elevens(shop, 22)
    )


def test_a_change_counts_as_asked_and_not_as_it_stands(session, shop, catalogue, order):
    in_use(session, bar=3)
    more, fewer = (
        make_quote(order_request(catalogue, line(catalogue, quantity=n)), shop, catalogue, MORNING)
        for n in (30, 20)
    )
    assert promised(session, shop, MORNING, more, order.number) == pytest.approx(elevens(shop, 30))
    assert gas_is_short(ctx(session, shop=shop, now=MORNING), more, order.number)
    assert not gas_is_short(ctx(session, shop=shop, now=MORNING), fewer, order.number)


def test_what_is_filled_of_a_changed_order_is_not_asked_for_again(session, shop, catalogue):
    in_use(session)
    order = take(session, order_request(catalogue))
    tap(session, order.batches[0], TapAction.FILL, EIGHT, count=10)
    asked = make_quote(order_request(catalogue, line(catalogue, quantity=30)), shop, catalogue, EIGHT)
    assert gas_outlook(ctx(session, shop=shop, now=EIGHT), asked, order.number).order_litres == pytest.approx(
        elevens(shop, 20)
    )
    change(
        session, order, order_request(catalogue, line(catalogue, quantity=30), bench_override=BENCH_REASON), EIGHT
    )
    assert promised(session, shop, EIGHT) == pytest.approx(elevens(shop, 20))


def test_what_burst_of_a_changed_order_was_laid_out_for_it(session, shop, catalogue):
    in_use(session)
    order = take(session, order_request(catalogue, line(catalogue, quantity=20)))
    careful = replace(shop, pricing=replace(shop.pricing, spares_percent=Decimal(10)))
    order.batches[0].spares = 2
    tap(session, order.batches[0], TapAction.FILL, EIGHT, count=5)
    tap(session, order.batches[0], TapAction.BURST, EIGHT, count=1, colour="red")
    asked = make_quote(order_request(catalogue, line(catalogue, quantity=20)), careful, catalogue, EIGHT)
    outlook = gas_outlook(ctx(session, shop=careful, now=EIGHT), asked, order.number)
    assert outlook.order_litres == pytest.approx(elevens(shop, 15 + 1))
    assert outlook.order_litres_before == pytest.approx(outlook.order_litres)


def test_what_is_filled_counts_too_when_it_moves_to_the_later_hand_over(session, shop, catalogue):
    in_use(session, bar=5)
    parts = line(catalogue, "18 in foil", 1), line(catalogue, quantity=24)
    order = take(
        session, order_request(catalogue, *parts, bench_override=BENCH_REASON, stock_override="More at ten.")
    )
    tap(session, order.batches[1], TapAction.FILL, EIGHT, count=20)
    moved = order_request(catalogue, parts[0], replace(parts[1], later=True), later_at=at(14, 30))
    asked = make_quote(moved, shop, catalogue, EIGHT)
    outlook = gas_outlook(ctx(session, shop=shop, now=EIGHT), asked, order.number)
    assert outlook.order_litres == pytest.approx(outlook.order_litres_before, rel=0.01)
    assert not gas_is_short(ctx(session, shop=shop, now=EIGHT), asked, order.number)


def test_a_hair_more_than_it_took_is_not_more(session, shop, catalogue, order):
    in_use(session, bar=3)
    order.batches[0].fill_size_in *= 0.9999
    asked = make_quote(order_request(catalogue), shop, catalogue, MORNING)
    outlook = gas_outlook(ctx(session, shop=shop, now=MORNING), asked, order.number)
    assert 0 < outlook.order_litres - outlook.order_litres_before < 0.5
    assert outlook.short is not None
    assert not gas_is_short(ctx(session, shop=shop, now=MORNING), asked, order.number)


def test_an_order_that_should_have_left_long_ago_holds_no_gas_unless_it_was_begun(session, shop, catalogue):
    in_use(session)
    left_there = take(session, order_request(catalogue))
    started = take(
        session, order_request(catalogue, line(catalogue, quantity=10), bench_override=BENCH_REASON), key="begun"
    )
    tap(session, started.batches[0], TapAction.FILL, EIGHT, count=4)
    assert promised(session, shop, at(1, 59, days=1)) == pytest.approx(elevens(shop, 24 + 6))
    assert promised(session, shop, at(2, days=1)) == pytest.approx(elevens(shop, 6))
    assert left_there.state == "open"


def test_put_off_to_another_day_it_asks_for_gas_again(session, shop, catalogue):
    in_use(session, bar=5)
    order = take(session, order_request(catalogue, stock_override="More at ten."))
    later = {name: at(hour, days=2) for name, hour in (("ready_by", 14), ("event_start", 15), ("lasts_until", 17))}
    asked = make_quote(order_request(catalogue, **later), shop, catalogue, at(8, days=1))
    assert gas_is_short(ctx(session, shop=shop, now=at(8, days=1)), asked, order.number)


def test_when_all_are_empty_there_is_none_left(session, shop, catalogue):
    take(session, order_request(catalogue))
    row = in_use(session)
    change_state(ctx(session, who=WHO, now=EIGHT), row.id, CylinderState.GONE_BACK, PressureReading(2, 20), "gone")
    assert gas_now(ctx(session, shop=shop)) == []
    assert gas_outlook(ctx(session, shop=shop, now=EIGHT)).short_by == pytest.approx(elevens(shop, 24))


def test_the_question_costs_three_statements(session, shop, catalogue, database):
    in_use(session, bar=5)
    why = {"bench_override": BENCH_REASON, "stock_override": "More comes at ten."}
    for number in range(5):
        fill(session, catalogue, 10, key=f"fill-{number}", **why)
        take(session, order_request(catalogue, **why), key=f"order-{number}")
    asked = make_quote(order_request(catalogue), shop, catalogue, EIGHT)
    session.flush()
    statements, context = [], ctx(session, shop=shop, now=EIGHT)
    event.listen(database.engine, "before_cursor_execute", lambda *told: statements.append(told[2]))
    assert gas_is_short(context, asked)
    assert len(statements) == 3


def test_an_order_for_which_it_does_not_last_is_taken_only_with_a_reason(session, shop, catalogue):
    in_use(session, bar=4)
    with pytest.raises(Refused) as refusal:
        take(session, order_request(catalogue))
    assert refusal.value.problems == (NO_STOCK_OVERRIDE,)
    assert take(session, order_request(catalogue, stock_override="More at ten.")).stock_override == "More at ten."
    assert take(session, order_request(catalogue, line(catalogue, gas=Gas.AIR)), key="air").stock_override == ""


def test_a_sale_at_once_is_filled_already_and_asks_for_no_reason(session, shop, catalogue):
    in_use(session, bar=2)
    sold = make_quick_sale(
        ctx(session, who=WHO, shop=shop, catalogue=catalogue, now=EIGHT),
        line(catalogue, quantity=3),
        "sale",
    )
    assert (sold.state, sold.stock_override) == ("handed over", "")


def test_opened_again_it_wants_a_reason_where_it_does_not_last(session, shop, catalogue, order):
    cancel_order(ctx(session, who=WHO, now=MORNING), order.number, order.version, CALLED_OFF)
    in_use(session, bar=4)
    with pytest.raises(Refused):
        reopen_order(ctx(session, who=WHO, shop=shop, catalogue=catalogue, now=MORNING), order.number)
    assert order.state == "cancelled"
