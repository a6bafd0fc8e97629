"""The supplies: weights, ribbon, plush, bags, treatment, modelling balloons, rental items."""

from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass, fields, replace
from datetime import datetime
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.actions.catalogue.names import name_problems, tidy_name
from app.actions.errors import NotFound
from app.quoting.errors import Problem, Refused
from app.quoting.recipe import read_recipe
from app.quoting.states import OrderState, SupplySort, SupplyUnit
from app.store.models import DesignRow, DesignSupplyRow, Order, OrderExtra, OrderLine, SupplyRow


@dataclass(frozen=True, slots=True)
class SupplyFigures:
    """A supply as the owner types it; money in minor units. pack_minor: what pack_size units cost the shop.
    price_minor: of one to a customer; None if it is not sold by itself. grams: of one weight or one metre of
    ribbon. width_cm: of a bag laid flat, or of a plush pressed together. deposit_minor: the
    security deposit on one rental item."""

    name: str
    sort: SupplySort
    unit: SupplyUnit
    pack_size: float
    pack_minor: int
    price_minor: int | None = None
    grams: float | None = None
    width_cm: float | None = None
    deposit_minor: int = 0


def figures_of(row: SupplyRow) -> SupplyFigures:
    """Returns the figures of a saved supply."""
    saved = {field.name: getattr(row, field.name) for field in fields(SupplyFigures)}
    return SupplyFigures(**saved | {"sort": SupplySort(row.sort), "unit": SupplyUnit(row.unit)})


def load_supply(session: Session, supply_id: int) -> SupplyRow:
    """Returns the supply. Raises NotFound."""
    row = session.get(SupplyRow, supply_id)
    if row is None:
        raise NotFound("This supply does not exist.")
    return row


def add_supply(session: Session, figures: SupplyFigures) -> SupplyRow:
    """Saves a new supply and returns it. Raises Refused with a problem at each wrong figure."""
    figures = _as_saved(figures)
    _refuse([*_wrong(figures), *name_problems(figures.name, None, session.scalars(select(SupplyRow)))])
    row = SupplyRow(**asdict(figures))
    session.add(row)
    session.flush()
    return row


def change_supply(session: Session, supply_id: int, figures: SupplyFigures) -> SupplyRow:
    """Changes the supply. Raises NotFound, and Refused with a problem at each wrong figure and at what must stay as
    it is."""
    row, figures = load_supply(session, supply_id), _as_saved(figures)
    taken = name_problems(figures.name, row.id, session.scalars(select(SupplyRow)))
    _refuse([*_wrong(figures), *taken, *_locked_changes(session, row, figures)])
    for name, value in asdict(figures).items():
        setattr(row, name, value)
    session.flush()
    return row


def archive_supply(session: Session, supply_id: int, now: datetime | None) -> SupplyRow:
    """Stops offering the supply from now; None offers it again. Orders and designs that have it keep it. Raises
    NotFound."""
    row = load_supply(session, supply_id)
    row.archived_at = now
    return row


def unit_lock_problem(session: Session, row: SupplyRow) -> Problem | None:
    """Returns why its unit cannot change, which is so while anything counts in it and would become another
    quantity; None if it can."""
    holder = _holder(session, row)
    if holder is None:
        return None
    sentence = f"{holder} counts it in this unit. Archive this supply and add a new one."
    return Problem("unit", sentence)


def _refuse(problems: list[Problem]) -> None:
    """Raises Refused if there are problems."""
    if problems:
        raise Refused(*problems)


def _as_saved(figures: SupplyFigures) -> SupplyFigures:
    """Returns the figures without those that its sort does not have."""
    sort = figures.sort
    return replace(
        figures,
        name=tidy_name(figures.name),
        unit=figures.unit if sort is SupplySort.OTHER else sort.unit,
        grams=figures.grams if sort.weighs else None,
        width_cm=figures.width_cm if sort.has_width else None,
        deposit_minor=figures.deposit_minor if sort is SupplySort.RENTAL else 0,
    )


def _wrong(figures: SupplyFigures) -> Iterator[Problem]:
    """Yields problems with the figures."""
    wanted = {"pack_size": True, "grams": figures.sort.weighs, "width_cm": figures.sort.has_width}
    for field, is_wanted in wanted.items():
        if is_wanted and not (getattr(figures, field) or 0) > 0:
            yield Problem(field, "Enter a number above 0.")
    for field in ("pack_minor", "price_minor", "deposit_minor"):
        if (getattr(figures, field) or 0) < 0:
            yield Problem(field, "Enter an amount of 0 or more.")


def _locked_changes(session: Session, row: SupplyRow, figures: SupplyFigures) -> Iterator[Problem]:
    """Yields the changes that are refused because something has the supply."""
    if figures.sort != row.sort:
        yield Problem("sort", "What it is cannot be changed. Archive this supply and add a new one.")
    elif figures.unit != row.unit and (held := unit_lock_problem(session, row)):
        yield held


def _holder(session: Session, row: SupplyRow) -> str | None:
    """Returns a design, or an order that may still be made, in words, that has the supply; None if there is
    none."""
    of_row = select(DesignRow.name).join(DesignRow.supplies).where(DesignSupplyRow.supply_id == row.id)
    design = session.scalar(of_row.order_by(DesignRow.name).limit(1))
    if design is not None:
        return f"The design “{design}”"
    waiting = select(Order.number).where(Order.state != OrderState.HANDED_OVER).order_by(Order.number)
    number = session.scalar(waiting.join(Order.extras).where(OrderExtra.supply_id == row.id).limit(1))
    recipes = session.execute(waiting.join(Order.lines).add_columns(OrderLine.recipe))
    made_with = (order for order, recipe in recipes if row.id in _supply_ids(recipe))
    holder = number or next(made_with, None)
    return f"Order {holder}" if holder else None


def _supply_ids(recipe: Mapping[str, Any]) -> set[int]:
    """Returns the ids of the supplies in a saved recipe."""
    return {supply.supply_id for supply in read_recipe(recipe).supplies}
