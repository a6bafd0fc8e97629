"""What the owner keeps of the balloon kinds: how they are made, what they cost, whether they are still sold."""

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

MEASURES = ("nominal_in", "rated_in", "mass_g", "helium_l", "median_hours", "size_factor")
OPTIONAL = ("rated_in", "helium_l", "median_hours")
"""Measures that a balloon type of another material does not have."""
PRICES = ("price_minor", "fill_minor", "top_up_minor", "pack_minor")


@dataclass(frozen=True, slots=True)
class BalloonTypeFigures:
    """A kind as the owner keeps it; units as in `Kind`, money in minor units. rated_in, helium_l, median_hours,
    size_factor: where its material has them; rated_in only where it is not its size. fill_minor, top_up_minor:
    where its material takes them and it floats; None is not offered. pack_minor: what pack_size of them cost the
    shop."""

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


def figures_of(row: BalloonTypeRow) -> BalloonTypeFigures:
    return BalloonTypeFigures(**{field.name: getattr(row, field.name) for field in fields(BalloonTypeFigures)})


def load_balloon_type(session: Session, balloon_type_id: int) -> BalloonTypeRow:
    """Raises NotFound."""
    row = session.get(BalloonTypeRow, balloon_type_id)
    if row is None:
        raise NotFound("There is no such kind.")
    return row


def add_balloon_type(session: Session, figures: BalloonTypeFigures) -> BalloonTypeRow:
    """Raises Refused with a problem at each wrong figure."""
    figures = _as_saved(figures)
    _refuse([*_wrong(figures), *name_problems(figures.name, None, session.scalars(select(BalloonTypeRow)))])
    row = BalloonTypeRow(**_columns(figures))
    session.add(row)
    session.flush()
    return row


def change_balloon_type(session: Session, balloon_type_id: int, figures: BalloonTypeFigures) -> BalloonTypeRow:
    """Open orders must be worked out anew afterwards. Raises NotFound, and Refused with a problem at each wrong
    figure and at what orders or designs hold as it is."""
    row, figures = load_balloon_type(session, balloon_type_id), _as_saved(figures)
    taken = name_problems(figures.name, row.id, session.scalars(select(BalloonTypeRow)))
    _refuse([*_wrong(figures), *taken, *_held(session, row, figures)])
    for name, value in _columns(figures).items():
        setattr(row, name, value)
    session.flush()
    return row


def weigh_balloon_type(session: Session, balloon_type_id: int, mass_g: float) -> BalloonTypeRow:
    """Grams of one, as the scales told them of ten; all else stays. Raises NotFound, and Refused like a change."""
    return change_balloon_type(
        session, balloon_type_id, replace(figures_of(load_balloon_type(session, balloon_type_id)), mass_g=mass_g)
    )


def archive_balloon_type(session: Session, balloon_type_id: int, now: datetime | None) -> BalloonTypeRow:
    """No longer offered from now; None offers it again. Orders and designs that have it keep it. Raises
    NotFound."""
    row = load_balloon_type(session, balloon_type_id)
    row.archived_at = now
    return row


def material_is_held(session: Session, row: BalloonTypeRow) -> Problem | None:
    """Why its material can be no other: an order that may still be filled has it."""
    number = session.scalar(
        _waiting()
        .outerjoin(Order.batches)
        .where((OrderLine.balloon_type_id == row.id) | (OrderBatch.balloon_type_id == row.id))
    )
    if number is None:
        return None
    sentence = f"Order {number} has it, so it stays {row.material}: archive this kind and add a new one."
    return Problem("material", sentence)


def _refuse(problems: list[Problem]) -> None:
    if problems:
        raise Refused(*problems)


def _as_saved(figures: BalloonTypeFigures) -> BalloonTypeFigures:
    """Without what its material does not have; as it was typed where there is no such material."""
    figures = replace(figures, name=tidy_name(figures.name))
    if not _is_known(figures.material):
        return figures
    traits = Material(figures.material).traits
    without: dict[str, Any] = dict.fromkeys((name for name in OPTIONAL if name not in traits.measures), None)
    if figures.air_only or not traits.takes_own:
        without["fill_minor"] = None
    if figures.air_only or not traits.can_be_topped_up:
        without["top_up_minor"] = None
    return replace(figures, **without)


def _is_known(material: str) -> bool:
    return material in {*Material}


def _columns(figures: BalloonTypeFigures) -> dict[str, Any]:
    return asdict(figures) | {"material": Material(figures.material)}


def _wrong(figures: BalloonTypeFigures) -> Iterator[Problem]:
    """What makes no balloon, or no price."""
    if not _is_known(figures.material):
        yield Problem("material", f"One of these, please: {', '.join(Material)}.")
    if figures.shape not in SHAPES:
        yield Problem("shape", f"One of these, please: {', '.join(SHAPES)}.")
    for field in (*MEASURES, "pack_size"):
        figure = getattr(figures, field)
        if figure is not None and not figure > 0:
            yield Problem(field, "A figure above 0, please.")
    for field in PRICES:
        if (getattr(figures, field) or 0) < 0:
            yield Problem(field, "An amount from 0, please.")
    if _is_known(figures.material) and not figures.air_only:
        for field in Material(figures.material).traits.helium_measures:
            if getattr(figures, field) is None:
                sentence = f"A {figures.material} filled with helium needs its litres and its hours."
                yield Problem(field, sentence)


def _held(session: Session, row: BalloonTypeRow, figures: BalloonTypeFigures) -> Iterator[Problem]:
    """What cannot become of it while something has it as it is."""
    held = material_is_held(session, row)
    if held and figures.material != row.material:
        yield held
    if figures.air_only and not row.air_only and (keeper := _filled_with_helium(session, row)):
        yield Problem("air_only", f"{keeper} has it with helium: archive this kind and add a new one for air only.")


def _filled_with_helium(session: Session, row: BalloonTypeRow) -> str | None:
    """An order or a design that would have to do with air."""
    of_row = (OrderBatch.balloon_type_id == row.id) & (OrderBatch.gas == Gas.HELIUM)
    number = session.scalar(_waiting().join(Order.batches).where(of_row))
    if number is not None:
        return f"Order {number}"
    in_design = select(DesignRow.name).join(DesignRow.parts)
    design = session.scalar(
        in_design.where(DesignPartRow.balloon_type_id == row.id, DesignPartRow.gas == Gas.HELIUM).limit(1)
    )
    return None if design is None else f"The design {design}"


def _waiting() -> Select[int]:
    """Numbers of orders that may still be filled, the first first; a cancelled one may be opened again."""
    lines = select(Order.number).join(Order.lines).order_by(Order.number).limit(1)
    return lines.where(Order.state != OrderState.HANDED_OVER, Order.handed_over_at.is_(None))
