"""What hangs on each balloon, as orders, batches and designs keep it."""

from dataclasses import replace

import pytest
from sqlalchemy import text

from app.actions.catalogue.designs import add_design, change_design
from app.actions.gas.outlook import gas_outlook
from app.actions.photos.from_order import design_from_order
from app.actions.records.catalogue import load_catalogue
from app.actions.records.rebuild_request import rebuild_request
from app.actions.records.sold_rows import read_parts
from app.actions.shop.office import change_settings, replan_open_orders
from app.actions.stock.consumption import stock_used_by
from app.craft.build import Build, Construction
from app.physics.balloon import Gas
from app.quoting.errors import Refused
from app.quoting.quote import make_quote
from app.quoting.request import Service
from app.store.migrate import downgrade, upgrade
from app.store.models import OrderBatch, OrderLine
from tests.actions.builders import (
    BENCH_REASON,
    MORNING,
    change,
    change_type,
    ctx,
    design_figures,
    design_line,
    line,
    new_design,
    order_request,
    part,
    problems,
    take,
    tap,
)
from tests.actions.cylinder_helpers import elevens, in_use

BEFORE_IT_WAS_WEIGHED = "8d2f60b91c4e"


def _hung(batches):
    return [(batch.quantity, batch.hung_g, batch.load_g) for batch in batches]


def _with_gifts(catalogue, **changes):
    """A dozen plain and half a dozen with a gift of 2.5 g."""
    lines = (line(catalogue, quantity=12), line(catalogue, quantity=6, hung_g=2.5))
    return order_request(catalogue, *lines, bench_override=BENCH_REASON, **changes)


def test_balloons_with_a_gift_are_a_batch_of_their_own(session, catalogue):
    order = take(session, _with_gifts(catalogue))
    assert _hung(order.batches) == [(12, 0.0, 0.75), (6, 2.5, 3.25)]
    assert [row.hung_g for row in order.lines] == [0.0, 2.5]
    assert rebuild_request(order).lines == _with_gifts(catalogue).lines


def test_a_batch_on_short_ribbons_says_what_it_carries(session, catalogue):
    """Three 11-inch in one layer hang on 112 cm of ribbon each, of 0.5 g/m."""
    design = new_design(session, catalogue, parts=(part(catalogue, quantity=3),), build=Build(Construction.BOUQUET))
    order = take(session, order_request(catalogue, design_line(design)))
    assert _hung(order.batches) == [(3, 0.0, 0.56)]


def test_a_gift_that_is_added_to_a_started_batch_is_hung_on_its_balloons(session, catalogue):
    order = take(session, order_request(catalogue))
    tap(session, order.batches[0], "start", now=MORNING.replace(hour=10))
    key = order.batches[0].key
    change(session, order, order_request(catalogue, line(catalogue, hung_g=1.5), accepted_risk="Fine."))
    assert [(batch.key, *row) for batch, row in zip(order.batches, _hung(order.batches), strict=True)] == [
        (key, 24, 1.5, 2.25)
    ]
    assert order.batches[0].started_at == MORNING.replace(hour=10)


def test_a_gift_that_is_added_asks_for_another_word_where_it_is_no_longer_safe(session, catalogue):
    late = {"lasts_until": MORNING.replace(hour=22)}
    order = take(session, order_request(catalogue, **late))
    with pytest.raises(Refused) as refusal:
        change(session, order, order_request(catalogue, line(catalogue, hung_g=4.0), **late))
    assert set(problems(refusal)) == {"accepted_risk"}


def test_customers_own_foils_with_a_gift_are_not_taken_from_the_shelf(session):
    """They are told from the shop's own, which are a batch of their own."""
    catalogue = change_type(session, "18 in foil", fill_minor=250)
    foil = {"name": "18 in foil", "quantity": 2, "colours": ""}
    lines = (line(catalogue, **foil, hung_g=1.0, service=Service.OWN), line(catalogue, **foil))
    order = take(session, order_request(catalogue, *lines, bench_override=BENCH_REASON))
    own, sold = order.batches
    assert (own.hung_g, sold.hung_g) == (1.0, 0.0)
    for batch in order.batches:
        tap(session, batch, "finish", now=MORNING.replace(hour=12), sure=True)
    assert (stock_used_by(own).filled, stock_used_by(sold).filled) == (0, 2)


def test_the_gas_of_each_batch_is_counted_apart(session, catalogue, shop):
    in_use(session)
    order = take(session, _with_gifts(catalogue))
    tap(session, order.batches[1], "finish", now=MORNING.replace(hour=12), sure=True)
    quote = make_quote(rebuild_request(order), shop, catalogue, MORNING)
    (day,) = gas_outlook(ctx(session, shop=shop), quote, order.number).days
    assert day.litres == pytest.approx(elevens(shop, 12))


def test_a_design_keeps_what_hangs_on_its_parts(session, catalogue):
    parts = (part(catalogue, "18 in foil", quantity=1), replace(part(catalogue), hung_g=2.0))
    design = new_design(session, catalogue, parts=parts)
    catalogue = load_catalogue(session)
    assert [one.hung_g for one in catalogue.designs[design.id].parts] == [0.0, 2.0]
    order = take(session, order_request(catalogue, design_line(design)))
    change_design(ctx(session), design.id, design_figures(catalogue))
    assert [spec.hung_g for spec in read_parts(order.lines[0].parts)] == [0.0, 2.0]
    change_settings(session, {"tag_g": 0.5})
    replan_open_orders(ctx(session))
    session.expire_all()
    assert [load for _, _, load in _hung(order.batches)] == [1.25, 3.25]


def test_a_design_made_of_an_order_has_its_gifts(session, catalogue):
    order = take(session, _with_gifts(catalogue))
    made = design_from_order(order.lines, ())
    assert [(one.quantity, one.hung_g) for one in made.parts] == [(12, 0.0), (6, 2.5)]
    assert [one.hung_g for one in add_design(ctx(session), made).parts] == [0.0, 2.5]


@pytest.mark.parametrize(
    ("name", "gas", "hung_g", "field"),
    [
        ("11 in latex", Gas.HELIUM, 20.0, ("hung_g", 0)),
        ("11 in latex", Gas.AIR, 500.1, ("hung_g", 0)),
        ("5 in latex", Gas.HELIUM, 1.0, ("gas", 0)),
    ],
)
def test_a_part_that_cannot_carry_its_gift_is_refused(session, catalogue, name, gas, hung_g, field):
    parts = (replace(part(catalogue, name, gas), hung_g=hung_g),)
    with pytest.raises(Refused) as refusal:
        new_design(session, catalogue, parts=parts)
    assert set(problems(refusal)) == {field}


def test_an_air_filled_part_may_have_any_gift(session, catalogue):
    design = new_design(session, catalogue, parts=(replace(part(catalogue, gas=Gas.AIR), hung_g=80.0),))
    order = take(session, order_request(catalogue, design_line(design)))
    assert _hung(order.batches) == [(9, 0.0, 0.0)]


def test_an_order_from_before_hangs_nothing_on_its_balloons(database):
    """Batches, lines and their parts, after the migration that adds the columns."""
    url = str(database.engine.url)
    with database.writing() as session:
        catalogue = load_catalogue(session)
        take(session, order_request(catalogue))
        design = new_design(session, catalogue)
    database.engine.dispose()
    downgrade(url, BEFORE_IT_WAS_WEIGHED)
    with database.writing() as session:
        (parts,) = session.execute(text("SELECT parts FROM order_line")).scalars()
        assert '"hung_g":0.0,' in parts
        session.execute(text("UPDATE order_line SET parts = :parts"), {"parts": parts.replace('"hung_g":0.0,', "")})
    database.engine.dispose()
    upgrade(url)
    with database.reading() as session:
        row = session.query(OrderLine).one()
        assert [spec.hung_g for spec in read_parts(row.parts)] == [row.hung_g] == [0.0]
        assert [batch.hung_g for batch in session.query(OrderBatch)] == [0.0]
        assert {one.hung_g for one in load_catalogue(session).designs[design.id].parts} == {0.0}
