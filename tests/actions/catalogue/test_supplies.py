"""A supply is added, corrected and archived; what designs and orders count of it stays."""

from dataclasses import replace

import pytest
from sqlalchemy import func, select

from app.actions.catalogue.supplies import SupplyFigures, add_supply, archive_supply, change_supply, figures_of
from app.actions.errors import NotFound
from app.quoting.errors import Refused
from app.quoting.recipe import Recipe, SoldSupply, write_recipe
from app.quoting.states import SupplySort, SupplyUnit
from app.store.models import DesignSupplyRow, OrderExtra, SupplyRow
from tests.actions.builders import MORNING, bouquet, order_request, problems, take

RIBBON = SupplyFigures("Satin ribbon 10 mm", SupplySort.RIBBON, SupplyUnit.METRE, 25, 310, 40, grams=1.4)
BAG = SupplyFigures("Wide bag", SupplySort.BAG, SupplyUnit.PIECE, 25, 890, None, width_cm=95)
ARCH = SupplyFigures("Round arch", SupplySort.RENTAL, SupplyUnit.PIECE, 40, 12000, 2200, deposit_minor=8000)
STRAPS = SupplyFigures("Straps", SupplySort.OTHER, SupplyUnit.PIECE, 100, 400)
EVERY = [RIBBON, BAG, ARCH, STRAPS]


@pytest.mark.parametrize("figures", EVERY)
def test_a_supply_is_saved_as_it_was_entered(session, figures):
    row = add_supply(session, figures)
    session.expire_all()
    assert figures_of(row) == figures


@pytest.mark.parametrize(
    ("figures", "changes", "field"),
    [
        (RIBBON, {"name": "  "}, "name"),
        (RIBBON, {"name": "x" * 61}, "name"),
        (RIBBON, {"name": " curling RIBBON 5 mm"}, "name"),
        (RIBBON, {"pack_size": 0}, "pack_size"),
        (RIBBON, {"pack_minor": -1}, "pack_minor"),
        (RIBBON, {"price_minor": -1}, "price_minor"),
        (RIBBON, {"grams": None}, "grams"),
        (RIBBON, {"grams": 0}, "grams"),
        (BAG, {"width_cm": None}, "width_cm"),
        (ARCH, {"deposit_minor": -1}, "deposit_minor"),
    ],
)
def test_what_cannot_be_has_a_problem_at_its_field_and_is_not_saved(session, figures, changes, field):
    saved = session.scalar(select(func.count()).select_from(SupplyRow))
    with pytest.raises(Refused) as refusal:
        add_supply(session, replace(figures, **changes))
    assert list(problems(refusal)) == [field]
    assert session.scalar(select(func.count()).select_from(SupplyRow)) == saved
    row = add_supply(session, figures)
    with pytest.raises(Refused) as refusal:
        change_supply(session, row.id, replace(figures, **changes))
    assert list(problems(refusal)) == [field]
    assert figures_of(row) == figures


def test_what_its_sort_does_not_have_is_not_saved(session):
    row = add_supply(session, replace(BAG, unit=SupplyUnit.METRE, grams=3.0, deposit_minor=100))
    assert figures_of(row) == BAG


def test_changed_it_keeps_its_own_name(session):
    row = add_supply(session, RIBBON)
    change_supply(session, row.id, replace(RIBBON, pack_minor=290))
    assert row.pack_minor == 290


def test_its_sort_stays(session):
    row = add_supply(session, STRAPS)
    with pytest.raises(Refused) as refusal:
        change_supply(session, row.id, replace(STRAPS, sort=SupplySort.RENTAL))
    assert list(problems(refusal)) == ["sort"]


def test_another_unit_while_nothing_counts_it(session):
    row = add_supply(session, STRAPS)
    assert change_supply(session, row.id, replace(STRAPS, unit=SupplyUnit.METRE)).unit == "metre"


def _in_a_design(session, catalogue, row):
    design = bouquet(session, catalogue)
    design.supplies.append(DesignSupplyRow(position=0, supply_id=row.id, quantity=2))
    return "Sea bouquet"


def _in_a_recipe(session, catalogue, row):
    order = take(session, order_request(catalogue))
    order.lines[0].recipe = write_recipe(Recipe(supplies=(SoldSupply(row.id, row.name, row.sort, 2),)))
    return str(order.number)


def _as_an_extra(session, catalogue, row):
    order = take(session, order_request(catalogue))
    extra = OrderExtra(position=0, sort="supply", supply_id=row.id, title=row.name, quantity=1)
    extra.unit_minor = extra.deposit_minor = 0
    order.extras.append(extra)
    return str(order.number)


@pytest.mark.parametrize("counted", [_in_a_design, _in_a_recipe, _as_an_extra])
def test_the_unit_stays_while_a_design_or_an_order_counts_it(session, catalogue, counted):
    row = add_supply(session, STRAPS)
    holder = counted(session, catalogue, row)
    session.flush()
    with pytest.raises(Refused) as refusal:
        change_supply(session, row.id, replace(STRAPS, unit=SupplyUnit.METRE))
    assert list(problems(refusal)) == ["unit"]
    assert holder in problems(refusal)["unit"][0]
    change_supply(session, row.id, replace(STRAPS, pack_minor=500))


def test_it_is_archived_and_restored(session):
    row = add_supply(session, BAG)
    assert archive_supply(session, row.id, MORNING).archived_at == MORNING
    assert archive_supply(session, row.id, None).archived_at is None


def test_a_supply_that_never_was_is_not_there(session):
    with pytest.raises(NotFound):
        change_supply(session, 999, BAG)
    with pytest.raises(NotFound):
        archive_supply(session, 999, MORNING)
