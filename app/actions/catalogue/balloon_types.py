"""The balloon types: how they are made, what they cost, and whether they are still sold."""

from collections.abc import Iterator
from dataclasses import asdict, dataclass, fields, replace
from datetime import datetime
from typing import Any

from sqlalchemy import Select, select
from sqlalchemy.orm import Session

from app.actions.catalogue.names import name_problems, tidy_name
from app.actions.errors import NotFound
from app.physics.balloon import Gas
from app.physics.material import Material
from app.quoting.errors import Problem, Refused
from app.quoting.states import OrderState
from app.store.models import BalloonTypeRow, DesignPartRow, DesignRow, Order, OrderBatch, OrderLine

SHAPES = ("round", "heart", "star", "figure", "number or letter", "long", "other")

MATERIAL_STAYS = "Order {number} uses it, so it stays {material}. Archive this balloon type and add a new one."
HELIUM_FIGURES_MISSING = "Enter litres of helium and hours of float time, or choose air only."
MEASURES = ("nominal_in", "rated_in", "mass_g", "helium_l", "median_hours", "size_factor")
OPTIONAL = ("rated_in", "helium_l", "median_hours")
"""Measures that a balloon type of another material does not have."""
TREATED_FOR_LESS = "Enter the price or more, or leave it blank."
PRICES = ("price_minor", "treated_minor", "fill_minor", "top_up_minor", "pack_minor")


@dataclass(frozen=True, slots=True)
class BalloonTypeFigures:
    """A balloon type as the owner types it. Units are as in `BalloonType`, money is in minor units.

    rated_in, helium_l, median_hours, size_factor: only if its material has them; rated_in only if it differs from
    the size. treated_minor: only if its material can be treated and it floats; None is its price and the treatment
    price. fill_minor, top_up_minor: only if its material allows them and it floats; None is not offered.
    pack_minor: what pack_size of them cost the shop.
    """

    name: str
    material: str
    nominal_in: float
    mass_g: float
    price_minor: int
    shape: str = "round"
    rated_in: float | None = None
    helium_l: float | None = None
    median_hours: float | None = None
    size_factor: float = 1.0
    air_only: bool = False
    fill_minor: int | None = None
    top_up_minor: int | None = None
    pack_size: int = 1
    pack_minor: int = 0
    treated_minor: int | None = None


def figures_of(row: BalloonTypeRow) -> BalloonTypeFigures:
    """Returns the figures of a saved balloon type."""
    return BalloonTypeFigures(**{field.name: getattr(row, field.name) for field in fields(BalloonTypeFigures)})


def load_balloon_type(session: Session, balloon_type_id: int) -> BalloonTypeRow:
    """Returns the balloon type. Raises NotFound."""
    row = session.get(BalloonTypeRow, balloon_type_id)
    if row is None:
        raise NotFound("This balloon type does not exist.")
    return row


def add_balloon_type(session: Session, figures: BalloonTypeFigures) -> BalloonTypeRow:
    """Saves a new balloon type and returns it. Raises Refused with a problem at each wrong figure."""
    figures = _as_saved(figures)
    _refuse([*_wrong(figures), *name_problems(figures.name, None, session.scalars(select(BalloonTypeRow)))])
    row = BalloonTypeRow(**_columns(figures))
    session.add(row)
    session.flush()
    return row


def change_balloon_type(session: Session, balloon_type_id: int, figures: BalloonTypeFigures) -> BalloonTypeRow:
    """Changes the balloon type; open orders must be calculated again afterwards.

    Raises NotFound, and Refused with a problem at each wrong figure and at what orders or designs need unchanged.
    """
    row, figures = load_balloon_type(session, balloon_type_id), _as_saved(figures)
    taken = name_problems(figures.name, row.id, session.scalars(select(BalloonTypeRow)))
    _refuse([*_wrong(figures), *taken, *_locked_changes(session, row, figures)])
    for name, value in _columns(figures).items():
        setattr(row, name, value)
    session.flush()
    return row


def weigh_balloon_type(session: Session, balloon_type_id: int, mass_g: float) -> BalloonTypeRow:
    """Changes the weight of one balloon to mass_g grams. Raises NotFound, and Refused as a change does."""
    return change_balloon_type(
        session, balloon_type_id, replace(figures_of(load_balloon_type(session, balloon_type_id)), mass_g=mass_g)
    )


def archive_balloon_type(session: Session, balloon_type_id: int, now: datetime | None) -> BalloonTypeRow:
    """Stops offering the balloon type from now; None offers it again. Orders and designs that have it keep it.
    Raises NotFound."""
    row = load_balloon_type(session, balloon_type_id)
    row.archived_at = now
    return row


def material_lock_problem(session: Session, row: BalloonTypeRow) -> Problem | None:
    """Returns why its material cannot change, which is so while an order that may still be filled has it; None if
    it can."""
    number = session.scalar(
        _unfinished_orders()
        .outerjoin(Order.batches)
        .where((OrderLine.balloon_type_id == row.id) | (OrderBatch.balloon_type_id == row.id))
    )
    if number is None:
        return None
    return Problem("material", MATERIAL_STAYS.format(number=number, material=row.material))


def _refuse(problems: list[Problem]) -> None:
    """Raises Refused if there are problems."""
    if problems:
        raise Refused(*problems)


def _as_saved(figures: BalloonTypeFigures) -> BalloonTypeFigures:
    """Returns the figures without those that its material does not have; unchanged if there is no such material."""
    figures = replace(figures, name=tidy_name(figures.name))
    if not _is_known(figures.material):
        return figures
    traits = Material(figures.material).traits
    without: dict[str, Any] = dict.fromkeys((name for name in OPTIONAL if name not in traits.measures), None)
    if figures.air_only or not traits.can_be_treated:
        without["treated_minor"] = None
    if figures.air_only or not traits.takes_own:
        without["fill_minor"] = None
    if figures.air_only or not traits.can_be_topped_up:
        without["top_up_minor"] = None
    return replace(figures, **without)


def _is_known(material: str) -> bool:
    """Returns whether there is such a material."""
    return material in {*Material}


def _columns(figures: BalloonTypeFigures) -> dict[str, Any]:
    """Returns the figures by the name of their column."""
    return asdict(figures) | {"material": Material(figures.material)}


def _wrong(figures: BalloonTypeFigures) -> Iterator[Problem]:
    """Yields the figures that make no possible balloon or price."""
    if not _is_known(figures.material):
        yield Problem("material", f"Choose one of these: {', '.join(Material)}.")
    if figures.shape not in SHAPES:
        yield Problem("shape", f"Choose one of these: {', '.join(SHAPES)}.")
    for field in (*MEASURES, "pack_size"):
        figure = getattr(figures, field)
        if figure is not None and not figure > 0:
            yield Problem(field, "Enter a number above 0.")
    yield from _wrong_prices(figures)
    if _is_known(figures.material) and not figures.air_only:
        for field in Material(figures.material).traits.helium_measures:
            if getattr(figures, field) is None:
                yield Problem(field, HELIUM_FIGURES_MISSING)


def _wrong_prices(figures: BalloonTypeFigures) -> Iterator[Problem]:
    """Yields the prices that cannot be."""
    for field in PRICES:
        if (getattr(figures, field) or 0) < 0:
            yield Problem(field, "Enter an amount of 0 or more.")
    if figures.treated_minor is not None and 0 <= figures.treated_minor < figures.price_minor:
        yield Problem("treated_minor", TREATED_FOR_LESS)


def _locked_changes(session: Session, row: BalloonTypeRow, figures: BalloonTypeFigures) -> Iterator[Problem]:
    """Yields the changes that are refused because an order or a design has the balloon type."""
    held = material_lock_problem(session, row)
    if held and figures.material != row.material:
        yield held
    if figures.air_only and not row.air_only and (keeper := _filled_with_helium(session, row)):
        yield Problem(
            "air_only", f"{keeper} uses it with helium. Archive this balloon type and add a new one for air only."
        )


def _filled_with_helium(session: Session, row: BalloonTypeRow) -> str | None:
    """Returns an order or a design, in words, that has it with helium; None if there is none."""
    of_row = (OrderBatch.balloon_type_id == row.id) & (OrderBatch.gas == Gas.HELIUM)
    number = session.scalar(_unfinished_orders().join(Order.batches).where(of_row))
    if number is not None:
        return f"Order {number}"
    in_design = select(DesignRow.name).join(DesignRow.parts)
    design = session.scalar(
        in_design.where(DesignPartRow.balloon_type_id == row.id, DesignPartRow.gas == Gas.HELIUM).limit(1)
    )
    return None if design is None else f"The design “{design}”"


def _unfinished_orders() -> Select[int]:
    """Returns a query for the numbers of orders that may still be filled, in rising order. A cancelled order may be
    opened again, so it is among them."""
    lines = select(Order.number).join(Order.lines).order_by(Order.number).limit(1)
    return lines.where(Order.state != OrderState.HANDED_OVER, Order.handed_over_at.is_(None))
