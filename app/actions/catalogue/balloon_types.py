"""What the owner keeps of the balloon kinds: how they are made, what they cost, whether they are still sold."""

from collections.abc import Iterator
from dataclasses import asdict, dataclass, fields, replace
from datetime import datetime

from sqlalchemy import Select, select
from sqlalchemy.orm import Session

from app.actions.catalogue.names import name_problems, tidy_name
from app.actions.errors import NotThere, Problem, Refused
from app.physics.balloon import Gas, Material
from app.store.models import Batch, Design, DesignPart, KindRow, Order, OrderLine

SHAPES = ("round", "heart", "star", "figure", "number or letter", "long", "other")

MEASURES = ("nominal_in", "rated_in", "mass_g", "helium_l", "median_hours", "size_factor")
PRICES = ("price_minor", "fill_minor", "top_up_minor", "pack_minor")


@dataclass(frozen=True, slots=True)
class KindFigures:
    """A kind as the owner keeps it; units as in `Kind`, money in minor units. rated_in: of latex, where it is not
    its size. helium_l, median_hours: of a film. fill_minor, top_up_minor: of a film that floats; None is not
    offered. pack_minor: what pack_size of them cost the shop."""

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


def figures_of(row: KindRow) -> KindFigures:
    return KindFigures(**{field.name: getattr(row, field.name) for field in fields(KindFigures)})


def load_kind(session: Session, kind_id: int) -> KindRow:
    """Raises NotThere."""
    row = session.get(KindRow, kind_id)
    if row is None:
        raise NotThere("There is no such kind.")
    return row


def add_kind(session: Session, figures: KindFigures) -> KindRow:
    """Raises Refused with a problem at each wrong figure."""
    figures = _as_kept(figures)
    _refuse([*_wrong(figures), *name_problems(figures.name, None, session.scalars(select(KindRow)))])
    row = KindRow(**asdict(figures))
    session.add(row)
    session.flush()
    return row


def change_kind(session: Session, kind_id: int, figures: KindFigures) -> KindRow:
    """Open orders must be worked out anew afterwards. Raises NotThere, and Refused with a problem at each wrong
    figure and at what orders or designs hold as it is."""
    row, figures = load_kind(session, kind_id), _as_kept(figures)
    taken = name_problems(figures.name, row.id, session.scalars(select(KindRow)))
    _refuse([*_wrong(figures), *taken, *_held(session, row, figures)])
    for name, value in asdict(figures).items():
        setattr(row, name, value)
    session.flush()
    return row


def weigh_kind(session: Session, kind_id: int, mass_g: float) -> KindRow:
    """Grams of one, as the scales told them of ten; all else stays. Raises NotThere, and Refused like a change."""
    return change_kind(session, kind_id, replace(figures_of(load_kind(session, kind_id)), mass_g=mass_g))


def retire_kind(session: Session, kind_id: int, now: datetime | None) -> KindRow:
    """No longer offered from now; None offers it again. Orders and designs that have it keep it. Raises
    NotThere."""
    row = load_kind(session, kind_id)
    row.retired_at = now
    return row


def material_is_held(session: Session, row: KindRow) -> Problem | None:
    """Why its material can be no other: an order that may still be filled has it."""
    number = session.scalar(
        _waiting().outerjoin(Order.batches).where((OrderLine.kind_id == row.id) | (Batch.kind_id == row.id))
    )
    if number is None:
        return None
    sentence = f"Order {number} has it, so it stays {row.material}: retire this kind and add a new one."
    return Problem("material", sentence)


def _refuse(problems: list[Problem]) -> None:
    if problems:
        raise Refused(*problems)


def _as_kept(figures: KindFigures) -> KindFigures:
    """Without what its material does not have."""
    figures = replace(figures, name=tidy_name(figures.name))
    if figures.material == Material.LATEX:
        return replace(figures, helium_l=None, median_hours=None, fill_minor=None, top_up_minor=None)
    if figures.air_only:
        return replace(figures, rated_in=None, fill_minor=None, top_up_minor=None)
    return replace(figures, rated_in=None)


def _wrong(figures: KindFigures) -> Iterator[Problem]:
    """What makes no balloon, or no price."""
    if figures.material not in {*Material}:
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
    if figures.material != Material.LATEX and not figures.air_only:
        for field in ("helium_l", "median_hours"):
            if getattr(figures, field) is None:
                sentence = f"A {figures.material} filled with helium needs its litres and its hours."
                yield Problem(field, sentence)


def _held(session: Session, row: KindRow, figures: KindFigures) -> Iterator[Problem]:
    """What cannot become of it while something has it as it is."""
    held = material_is_held(session, row)
    if held and figures.material != row.material:
        yield held
    if figures.air_only and not row.air_only and (keeper := _filled_with_helium(session, row)):
        yield Problem("air_only", f"{keeper} has it with helium: retire this kind and add a new one for air only.")


def _filled_with_helium(session: Session, row: KindRow) -> str | None:
    """An order or a design that would have to do with air."""
    of_row = (Batch.kind_id == row.id) & (Batch.gas == Gas.HELIUM)
    number = session.scalar(_waiting().join(Order.batches).where(of_row))
    if number is not None:
        return f"Order {number}"
    in_design = select(Design.name).join(Design.parts)
    design = session.scalar(in_design.where(DesignPart.kind_id == row.id, DesignPart.gas == Gas.HELIUM).limit(1))
    return None if design is None else f"The design {design}"


def _waiting() -> Select[int]:
    """Numbers of orders that may still be filled, the first first; a cancelled one may be opened again."""
    lines = select(Order.number).join(Order.lines).order_by(Order.number).limit(1)
    return lines.where(Order.state != "handed over", Order.handed_over_at.is_(None))
