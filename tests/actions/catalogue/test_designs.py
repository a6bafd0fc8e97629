"""Designs that are made, changed, sold and archived; and what orders keep of them."""

from dataclasses import replace

import pytest

from app.actions.catalogue.designs import archive_design, change_design
from app.actions.errors import NotFound
from app.actions.records.catalogue import load_catalogue
from app.actions.records.shop import load_shop
from app.actions.shop.office import change_settings, replan_open_orders
from app.craft.build import Build, Construction
from app.physics.balloon import Gas
from app.quoting.errors import Refused
from app.quoting.recipe import read_recipe
from app.store.models import BalloonTypeRow, DesignRow, SupplyRow
from tests.actions.builders import (
    BENCH_REASON,
    MORNING,
    balloon_type_id,
    bouquet,
    change,
    ctx,
    design_figures,
    design_line,
    line,
    new_design,
    order_request,
    part,
    problems,
    take,
)

FOIL = "18 in foil"


def _change(session, row, wanted):
    return change_design(ctx(session, shop=load_shop(session), catalogue=load_catalogue(session)), row.id, wanted)


def _supply(session, name="Storybook bear", **changes):
    figures = {
        "sort": "plush",
        "unit": "piece",
        "pack_size": 1,
        "pack_minor": 430,
        "price_minor": None,
        "grams": None,
        "width_cm": 11,
        "deposit_minor": 0,
        "archived_at": None,
    }
    row = SupplyRow(name=name, **(figures | changes))
    session.add(row)
    session.flush()
    return row


def test_a_design_is_saved_as_it_was_entered(session, catalogue):
    bear = _supply(session)
    column = Build(Construction.COLUMN, {"height_m": 2.0, "pattern": "spiral"})
    wanted = design_figures(
        load_catalogue(session),
        steps=("Tie.", "Stack."),
        seasons=(("02-01", "02-14"), ("11-20", "01-06")),
        supplies=((bear.id, 1.5),),
        build=column,
    )
    row = new_design(session, load_catalogue(session), **{f: getattr(wanted, f) for f in wanted.__slots__})
    session.expire(row)
    assert (row.name, row.price_minor, row.computed, row.assembly_minutes) == ("Sea bouquet", 2600, False, 5)
    assert (row.steps, row.seasons) == (["Tie.", "Stack."], [["02-01", "02-14"], ["11-20", "01-06"]])
    assert row.build == {"form": "column", "height_m": 2.0, "pattern": "spiral"}
    assert [(p.balloon_type_id, p.gas, p.quantity, p.colours) for p in row.parts] == [
        (balloon_type_id(catalogue, FOIL), "helium", 1, [["silver", 1]]),
        (balloon_type_id(catalogue), "helium", 9, []),
    ]
    assert [(s.supply_id, s.quantity) for s in row.supplies] == [(bear.id, 1.5)]


def test_a_design_is_sold_from_now_on(session, catalogue):
    row = bouquet(session, catalogue)
    assert take(session, order_request(catalogue, design_line(row))).lines[0].title == "Sea bouquet"


def test_a_computed_price_is_sold_as_it_is_computed_on_that_day(session, catalogue):
    """Two pieces of 1.00 and nothing else cost 2.00; with 150 % on top that is 5.00, later with 50 % it is 3.00."""
    free = {"hour_minor": 0, "helium_m3_minor": 0, "price_step_minor": 1}
    change_settings(session, free | {"markup_percent": 150})
    session.get(BalloonTypeRow, balloon_type_id(catalogue)).pack_minor = 100
    row = new_design(session, catalogue, price_minor=None, parts=(part(catalogue, gas=Gas.AIR, quantity=2),))
    order = take(session, order_request(catalogue, design_line(row)))
    change_settings(session, {"markup_percent": 50})
    later = take(session, order_request(catalogue, design_line(row), bench_override=BENCH_REASON), key="key-2")
    assert (order.lines[0].unit_minor, later.lines[0].unit_minor) == (500, 300)


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"name": ""}, "name"),
        ({"name": "x" * 61}, "name"),
        ({"price_minor": -1}, "price_minor"),
        ({"assembly_minutes": 601.0}, "assembly_minutes"),
        ({"steps": ("x",) * 21}, "steps"),
        ({"steps": ("x" * 201,)}, "steps"),
        ({"seasons": (("02-30", "03-01"),)}, ("first", 0)),
        ({"seasons": (("02-01", "2-3"),)}, ("last", 0)),
        ({"seasons": (("02-01", "W05-1"),)}, ("last", 0)),
        ({"seasons": (("02-01", "02-02"),) * 4}, ("first", 3)),
        ({"supplies": ((999, 1),)}, ("supply", 0)),
        ({"parts": ()}, ("balloon_type", 0)),
    ],
)
def test_what_cannot_be_is_refused_at_its_field(session, catalogue, changes, field):
    with pytest.raises(Refused) as refusal:
        new_design(session, catalogue, **changes)
    assert list(problems(refusal)) == [field]
    assert session.query(DesignRow).count() == 0


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"balloon_type_id": 999}, "balloon_type"),
        ({"quantity": 0}, "quantity"),
        ({"quantity": 1001}, "quantity"),
        ({"colours": (("red", 3), ("white", 5))}, "colours"),
    ],
)
def test_a_part_that_cannot_be_is_refused_in_its_row(session, catalogue, changes, field):
    with pytest.raises(Refused) as refusal:
        new_design(
            session, catalogue, parts=(part(catalogue, FOIL, quantity=1), replace(part(catalogue), **changes))
        )
    assert list(problems(refusal)) == [(field, 1)]


@pytest.mark.parametrize("name", ["5 in latex", "9 in foil"])
def test_a_part_that_does_not_float_is_not_filled_with_helium(session, catalogue, name):
    with pytest.raises(Refused) as refusal:
        new_design(session, catalogue, parts=(part(catalogue, name),))
    assert list(problems(refusal)) == [("gas", 0)]
    new_design(session, catalogue, parts=(part(catalogue, name, Gas.AIR),))


def test_a_design_needs_a_name_of_its_own(session, catalogue):
    bouquet(session, catalogue)
    with pytest.raises(Refused) as refusal:
        bouquet(session, catalogue)
    assert list(problems(refusal)) == ["name"]
    other = bouquet(session, catalogue, name="River bouquet")
    with pytest.raises(Refused):
        _change(session, other, design_figures(catalogue, name="Sea bouquet"))
    _change(session, other, design_figures(catalogue, name="River bouquet", price_minor=100))


def test_the_29th_of_february_is_a_day(session, catalogue):
    assert new_design(session, catalogue, seasons=(("02-29", "02-29"),)).seasons == [["02-29", "02-29"]]


def test_an_archived_type_or_supply_is_taken_for_no_new_design(session, catalogue):
    bear = _supply(session, archived_at=MORNING)
    session.get(BalloonTypeRow, balloon_type_id(catalogue)).archived_at = MORNING
    with pytest.raises(Refused) as refusal:
        new_design(session, load_catalogue(session), supplies=((bear.id, 1),))
    assert list(problems(refusal)) == [("balloon_type", 1), ("supply", 0)]


def test_what_a_design_has_stays_in_it_though_archived_meanwhile(session, catalogue):
    bear = _supply(session)
    row = new_design(session, load_catalogue(session), supplies=((bear.id, 1),))
    bear.archived_at = session.get(BalloonTypeRow, balloon_type_id(catalogue)).archived_at = MORNING
    _change(session, row, design_figures(catalogue, name="Lake bouquet", supplies=((bear.id, 2),)))
    assert (row.name, row.supplies[0].quantity, len(row.parts)) == ("Lake bouquet", 2, 2)


def test_a_design_that_never_was_is_not_there(session, catalogue):
    with pytest.raises(NotFound):
        archive_design(session, 999, MORNING)
    with pytest.raises(NotFound):
        change_design(ctx(session, shop=load_shop(session), catalogue=catalogue), 999, design_figures(catalogue))


def test_an_archived_design_is_not_sold_until_it_is_sold_again(session, catalogue):
    row = bouquet(session, catalogue)
    archive_design(session, row.id, MORNING)
    with pytest.raises(Refused):
        take(session, order_request(catalogue, design_line(row)))
    archive_design(session, row.id, None)
    take(session, order_request(catalogue, design_line(row)))


def test_treatment_of_a_design_without_helium_latex_is_refused(session, catalogue):
    """Else the caller is told and the ticket says “treated” while nothing is."""
    column = new_design(session, catalogue, name="Pier column", parts=(part(catalogue, gas=Gas.AIR, quantity=40),))
    with pytest.raises(Refused) as refusal:
        take(session, order_request(catalogue, design_line(column, treated=True)))
    assert list(problems(refusal)) == [("treated", 0)]


@pytest.fixture
def sold(session):
    """An order of a design with all that a design can have, and the design changed in all of it afterwards."""
    bear, lamp = _supply(session), _supply(session, "Lamp")
    catalogue = load_catalogue(session)
    row = new_design(
        session,
        catalogue,
        steps=("Tie.",),
        supplies=((bear.id, 1),),
        build=Build(Construction.BOUQUET),
    )
    order = take(session, order_request(catalogue, design_line(row, 2), bench_override=BENCH_REASON))
    before = _as_sold(order)
    changed = design_figures(
        catalogue,
        name="Lake bouquet",
        price_minor=9900,
        assembly_minutes=55,
        parts=(part(catalogue, "16 in latex", quantity=3),),
        steps=("Fold.",),
        supplies=((lamp.id, 4),),
        build=Build(Construction.STRINGS),
    )
    _change(session, row, changed)
    return order, row, before


def _as_sold(order):
    one = order.lines[0]
    return {
        "title": one.title,
        "unit": one.unit_minor,
        "total": order.total_minor,
        "parts": one.parts,
        "minutes": one.assembly_minutes,
        "recipe": read_recipe(one.recipe),
        "batches": sorted((batch.balloon_type_id, batch.quantity) for batch in order.batches),
    }


def test_an_order_keeps_the_design_as_it_was_sold(session, sold):
    order, _, before = sold
    session.expire_all()
    assert _as_sold(order) == before
    assert (before["title"], before["unit"], before["minutes"]) == ("Sea bouquet", 2600, 10)
    recipe = before["recipe"]
    assert (recipe.steps, [s.name for s in recipe.supplies], dict(recipe.build)) == (
        ("Tie.",),
        ["Storybook bear"],
        {"form": "bouquet"},
    )


def test_recalculating_open_orders_leaves_the_design_as_sold(session, sold):
    order, _, before = sold
    change_settings(session, {"shop_celsius": 24})
    replan_open_orders(ctx(session, now=MORNING))
    session.expire_all()
    assert _as_sold(order) == before


def test_changing_an_order_keeps_the_line_that_stays_and_sells_new_ones_as_they_are_now(session, sold):
    order, row, before = sold
    catalogue = load_catalogue(session)
    more = design_line(row, 1, colours="green")
    change(
        session,
        order,
        order_request(
            catalogue, design_line(row, 2), more, line(catalogue), notes="side door", bench_override=BENCH_REASON
        ),
    )
    session.expire_all()
    saved = _as_sold(order)
    for same in ("title", "unit", "parts", "minutes", "recipe"):
        assert saved[same] == before[same]
    new = order.lines[1]
    assert (new.title, new.unit_minor, read_recipe(new.recipe).steps) == ("Lake bouquet", 9900, ("Fold.",))


def test_an_order_keeps_a_design_that_was_archived(session, sold):
    order, row, before = sold
    archive_design(session, row.id, MORNING)
    catalogue = load_catalogue(session)
    change(
        session,
        order,
        order_request(catalogue, design_line(row, 2), notes="side door", bench_override=BENCH_REASON),
    )
    assert _as_sold(order) == before
