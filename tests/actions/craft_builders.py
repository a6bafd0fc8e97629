"""Designs that say how they are put together, and supplies to go with them."""

from sqlalchemy import select

from app.actions.bench.build_sheets import sheets_of_lines
from app.actions.records.catalogue import load_catalogue
from app.actions.records.shop import load_shop
from app.craft.build import Build
from app.physics.balloon import Gas
from app.store.models import SupplyRow
from tests.actions.builders import MORNING, design_line, new_design, order_request, part, take

HELIUM, AIR = Gas.HELIUM, Gas.AIR


def supply(session, name, sort, **figures):
    """One piece of it in the shop."""
    row = SupplyRow(name=name, sort=sort, unit="piece", pack_size=1, pack_minor=0, deposit_minor=0, **figures)
    session.add(row)
    session.flush()
    return row


def archive_bags(session):
    """Those that a new shop has."""
    for row in session.scalars(select(SupplyRow).filter_by(sort="bag")):
        row.archived_at = MORNING
    session.flush()


def design(session, form, parts, figures=None, supplies=(), steps=(), name="Piece"):
    """parts: (kind's name, gas, how many[, colours]). supplies: (row, how many)."""
    catalogue = load_catalogue(session)
    return new_design(
        session,
        catalogue,
        name=name,
        parts=tuple(part(catalogue, *one[:3], tuple(map(tuple, one[3])) if one[3:] else ()) for one in parts),
        build=Build(form, figures or {}),
        supplies=tuple((row.id, count) for row, count in supplies),
        steps=tuple(steps),
    )


def order_of(session, made, quantity=1, colours="red", **changes):
    catalogue = load_catalogue(session)
    line = design_line(made, quantity, colours=colours, **changes.pop("line", {}))
    return take(session, order_request(catalogue, line, **changes), key=f"{made.name} {quantity}")


def sheet(session, made, quantity=1, **changes):
    """The one line of an order of it, as it is put together; None where it is not."""
    order = order_of(session, made, quantity, **changes)
    lines = sheets_of_lines(order, load_shop(session), load_catalogue(session))
    return lines[0].sheet if lines else None


def fact(made, label):
    return next(fact.value for fact in made.facts if fact.label == label)
