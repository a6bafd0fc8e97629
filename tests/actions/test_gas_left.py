"""What is left: the gauge, less what was filled since by the taps; on which day it runs out."""

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

import pytest
from sqlalchemy import event

from app.actions.bench import Act, undo_tap
from app.actions.errors import Refused
from app.actions.gas.cylinders import State
from app.actions.gas.left import gas_now
from app.actions.gas.moves import change_state, send_along
from app.actions.gas.outlook import gas_is_short, gas_outlook
from app.actions.gas.readings import undo_reading
from app.actions.quote import quote
from app.actions.sale import sell_now, take_back_sale
from app.actions.take_order import cancel_order, reopen_order
from app.actions.wish import LineWish, Service
from app.craft.gas import Gauge, usable_litres
from app.physics.balloon import Gas
from app.store.models import PlannedStart, Tap
from app.store.queries.gas import readings
from tests.actions.builders import (
    BY_TURNS,
    EIGHT,
    MORNING,
    WHO,
    at,
    change,
    kind_id,
    line,
    problems,
    take,
    tap,
    wish,
)
from tests.actions.gas import cylinder, elevens, fill, in_use, read
from tests.actions.test_gas_readings import venue_order

SOON = EIGHT + timedelta(minutes=1)


def left(session, shop):
    return {one.row.name: one.left for one in gas_now(session, shop)}


def by_gauge(shop, bar, celsius=20.0, water=50.0):
    return usable_litres(water, Gauge(bar, celsius), shop.on_hand.rest_bar, shop.air)


def test_without_a_cylinder_nothing_is_said(session, shop, goods):
    assert gas_now(session, shop) is None
    assert gas_outlook(session, shop, MORNING) is None
    assert gas_is_short(session, quote(wish(goods), shop, goods, MORNING), shop, MORNING) is None


def test_what_is_filled_after_the_reading_is_taken_off(session, shop, goods):
    in_use(session, bar=150)
    fill(session, goods, 24)
    assert left(session, shop)["Ada"] == pytest.approx(by_gauge(shop, 150) - elevens(shop, 24))


def test_a_reading_after_it_counts_alone(session, shop, goods):
    row = in_use(session, bar=150)
    fill(session, goods, 24)
    read(session, row, 145, SOON)
    assert left(session, shop)["Ada"] == pytest.approx(by_gauge(shop, 145))


def test_what_bursts_while_it_is_filled_took_its_gas_and_what_is_undone_did_not(session, shop, goods):
    in_use(session, bar=150)
    batch = take(session, wish(goods)).batches[0]
    tap(session, batch, Act.FILL, EIGHT, count=10)
    tap(session, batch, Act.BURST, EIGHT, colour="red")
    tap(session, batch, Act.FILL, EIGHT, key="slip", count=5)
    slip = session.query(Tap).filter_by(client_key="slip").one()
    undo_tap(session, WHO, batch.key, slip.id, EIGHT)
    assert left(session, shop)["Ada"] == pytest.approx(by_gauge(shop, 150) - elevens(shop, 11))


def test_one_that_bursts_once_filled_is_filled_anew(session, shop, goods):
    in_use(session, bar=150)
    batch = take(session, wish(goods, line(goods, quantity=4))).batches[0]
    tap(session, batch, Act.FINISH, EIGHT)
    tap(session, batch, Act.BURST, EIGHT, colour="red")
    tap(session, batch, Act.FINISH, EIGHT, key="again")
    assert left(session, shop)["Ada"] == pytest.approx(by_gauge(shop, 150) - elevens(shop, 5))


def test_air_takes_no_helium(session, shop, goods):
    in_use(session, bar=150)
    order = take(session, wish(goods, line(goods, gas=Gas.AIR)))
    tap(session, order.batches[0], Act.FINISH, EIGHT)
    assert left(session, shop)["Ada"] == pytest.approx(by_gauge(shop, 150))


def test_sales_at_once_and_the_customers_own_foils_take_it(session, shop, goods):
    in_use(session, bar=150)
    foil = goods.kinds[kind_id(goods, "18 in foil")]
    foil.fill_minor = 300
    own = LineWish(foil.id, None, 2, gas=Gas.HELIUM, service=Service.OWN)
    sale = sell_now(session, WHO, own, shop, goods, EIGHT, "sale")
    assert left(session, shop)["Ada"] == pytest.approx(by_gauge(shop, 150) - 2 * 14)
    take_back_sale(session, WHO, sale.number, EIGHT)
    assert left(session, shop)["Ada"] == pytest.approx(by_gauge(shop, 150))


def test_two_in_use_share_what_is_filled(session, shop, goods):
    for name in ("Ada", "Bo"):
        in_use(session, bar=150, name=name)
    fill(session, goods, 24)
    half = by_gauge(shop, 150) - elevens(shop, 12)
    assert left(session, shop) == {"Ada": pytest.approx(half), "Bo": pytest.approx(half)}


def test_one_taken_into_use_later_shares_only_what_comes_after(session, shop, goods):
    in_use(session, bar=150)
    fill(session, goods, 24)
    in_use(session, bar=200, name="Bo", now=SOON)
    assert left(session, shop) == {
        "Ada": pytest.approx(by_gauge(shop, 150) - elevens(shop, 24)),
        "Bo": pytest.approx(by_gauge(shop, 200)),
    }


def test_what_one_cannot_have_held_is_taken_from_the_next(session, shop, goods):
    in_use(session, bar=4)
    cylinder(session, name="Bo")
    fill(session, goods, 24)
    there = left(session, shop)
    assert there["Ada"] == 0
    assert there["Bo"] == pytest.approx(by_gauge(shop, 200, 15) + by_gauge(shop, 4) - elevens(shop, 24))


def test_never_read_it_counts_from_the_day_it_came(session, shop, goods):
    row = in_use(session, bar=150)
    fill(session, goods, 24)
    undo_reading(session, WHO, row.id, readings(session)[0].id, EIGHT)
    assert left(session, shop)["Ada"] == pytest.approx(by_gauge(shop, 200, 15) - elevens(shop, 24))


def test_at_a_venue_the_cylinders_along_give_it(session, shop, goods):
    in_use(session, bar=150)
    along = cylinder(session, name="Bo")
    order = venue_order(session, goods)
    send_along(session, WHO, along.id, order.number, None, EIGHT, "along")
    tap(session, order.batches[0], Act.FINISH, at(12), sure=True)
    there = left(session, shop)
    warmer = (shop.indoors_celsius + 273.15) / (shop.air.celsius + 273.15)
    assert there["Ada"] == pytest.approx(by_gauge(shop, 150))
    assert there["Bo"] == pytest.approx(by_gauge(shop, 200, 15) - elevens(shop, 24) / warmer)


def test_the_outlook_counts_what_is_still_to_fill_by_day(session, shop, goods):
    in_use(session, bar=150)
    order = take(session, wish(goods))
    tap(session, order.batches[0], Act.FILL, EIGHT, count=4)
    later = {name: at(hour, days=2) for name, hour in (("ready_by", 14), ("event_start", 15), ("lasts_until", 17))}
    take(session, wish(goods, **later), key="monday")
    outlook = gas_outlook(session, shop, EIGHT)
    assert [(one.day.day, one.litres) for one in outlook.days] == [
        (21, pytest.approx(elevens(shop, 20))),
        (23, pytest.approx(elevens(shop, 24))),
    ]
    assert outlook.days[-1].left == pytest.approx(by_gauge(shop, 150) - elevens(shop, 48))
    assert outlook.short is None
    assert outlook.short_by == 0


def test_the_planned_start_says_the_day(session, shop, goods):
    in_use(session)
    order = take(session, wish(goods))
    session.add(PlannedStart(batch_id=order.batches[0].id, starts_at=at(9, days=1)))
    session.flush()
    assert gas_outlook(session, shop, MORNING).days[0].day.day == 22


def test_a_venue_takes_its_gas_on_the_day_its_crew_leaves(session, shop, goods):
    in_use(session)
    night = {
        "ready_by": at(23, 30),
        "arrives_at": at(0, days=1),
        "event_start": at(6, days=1),
        "lasts_until": at(9, days=1),
    }
    venue_order(session, goods, **night)
    assert gas_outlook(session, shop, MORNING).days[0].day.day == 21


def test_it_runs_out_on_the_first_day_that_is_short(session, shop, goods):
    in_use(session, bar=10)
    here = by_gauge(shop, 10)
    pieces = int(here / elevens(shop, 1)) - 2
    take(session, wish(goods, line(goods, quantity=pieces), bench_reason=BY_TURNS))
    asked = quote(wish(goods, line(goods, quantity=10)), shop, goods, MORNING)
    outlook = gas_outlook(session, shop, MORNING, asked)
    assert outlook.asked == pytest.approx(elevens(shop, 10))
    assert outlook.short.day.day == 21
    assert outlook.short_by == pytest.approx(elevens(shop, pieces + 10) - here)
    said = gas_is_short(session, asked, shop, MORNING)
    assert said == f"The helium runs out on Saturday 21 November, {outlook.short_by:,.0f} L short."


def test_an_order_without_helium_is_not_short_of_it(session, shop, goods):
    take(session, wish(goods))
    in_use(session, bar=2)
    asked = quote(wish(goods, line(goods, gas=Gas.AIR)), shop, goods, MORNING)
    assert gas_outlook(session, shop, MORNING).short is not None
    assert gas_is_short(session, asked, shop, MORNING) is None


def test_spares_take_helium_too(session, shop, goods):
    in_use(session)
    careful = replace(shop, till=replace(shop.till, spares_percent=Decimal(10)))
    asked = quote(wish(goods, line(goods, quantity=20)), careful, goods, MORNING)
    assert gas_outlook(session, careful, MORNING, asked).asked == pytest.approx(elevens(shop, 22))


def test_a_change_counts_as_asked_and_not_as_it_stands(session, shop, goods):
    order = take(session, wish(goods))
    in_use(session, bar=3)
    more, fewer = (quote(wish(goods, line(goods, quantity=n)), shop, goods, MORNING) for n in (30, 20))
    assert gas_outlook(session, shop, MORNING, more, order.number).promised == pytest.approx(elevens(shop, 30))
    assert gas_is_short(session, more, shop, MORNING, order.number)
    assert gas_is_short(session, fewer, shop, MORNING, order.number) is None


def test_what_is_filled_of_a_changed_order_is_not_asked_for_again(session, shop, goods):
    in_use(session)
    order = take(session, wish(goods))
    tap(session, order.batches[0], Act.FILL, EIGHT, count=10)
    asked = quote(wish(goods, line(goods, quantity=30)), shop, goods, EIGHT)
    assert gas_outlook(session, shop, EIGHT, asked, order.number).asked == pytest.approx(elevens(shop, 20))
    change(session, order, wish(goods, line(goods, quantity=30), bench_reason=BY_TURNS), EIGHT)
    assert gas_outlook(session, shop, EIGHT).promised == pytest.approx(elevens(shop, 20))


def test_when_all_are_empty_there_is_none_left(session, shop, goods):
    take(session, wish(goods))
    row = in_use(session)
    change_state(session, WHO, row.id, State.GONE_BACK, Gauge(2, 20), EIGHT, "gone")
    assert gas_now(session, shop) == []
    assert gas_outlook(session, shop, EIGHT).short_by == pytest.approx(elevens(shop, 24))


def test_the_question_costs_three_statements(session, shop, goods, database):
    in_use(session, bar=5)
    why = {"bench_reason": BY_TURNS, "short_reason": "More comes at ten."}
    for number in range(5):
        fill(session, goods, 10, key=f"fill-{number}", **why)
        take(session, wish(goods, **why), key=f"order-{number}")
    asked = quote(wish(goods), shop, goods, EIGHT)
    session.flush()
    statements = []
    event.listen(database.engine, "before_cursor_execute", lambda *told: statements.append(told[2]))
    assert gas_is_short(session, asked, shop, EIGHT)
    assert len(statements) == 3


def test_an_order_for_which_it_does_not_last_is_taken_only_with_a_reason(session, shop, goods):
    in_use(session, bar=4)
    with pytest.raises(Refused) as refusal:
        take(session, wish(goods))
    assert set(problems(refusal)) == {"short_reason"}
    assert take(session, wish(goods, short_reason="More at ten.")).short_reason == "More at ten."
    assert take(session, wish(goods, line(goods, gas=Gas.AIR)), key="air").short_reason == ""


def test_a_sale_at_once_is_filled_already_and_asks_for_no_reason(session, shop, goods):
    in_use(session, bar=2)
    sold = sell_now(session, WHO, line(goods, quantity=3), shop, goods, EIGHT, "sale")
    assert (sold.state, sold.short_reason) == ("handed over", "")


def test_opened_again_it_wants_a_reason_where_it_does_not_last(session, shop, goods):
    order = take(session, wish(goods))
    cancel_order(session, WHO, order.number, order.version, MORNING)
    in_use(session, bar=4)
    with pytest.raises(Refused):
        reopen_order(session, WHO, order.number, shop, goods, MORNING)
    assert order.state == "cancelled"
