"""What the shop sells from a photo: designs are made, changed and archived. Orders keep them as they were sold."""

from collections.abc import Collection, Iterator
from dataclasses import dataclass, field
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.actions.catalogue.names import name_problems, tidy_name
from app.actions.catalogue.seasons import check_day
from app.actions.errors import NotFound, Problem, Refused
from app.actions.records.shop import Catalogue, Shop
from app.craft.build import Build, write_build
from app.physics.balloon import Gas
from app.physics.endurance import Filling, endurance
from app.quoting.states import SupplySort, SupplyUnit
from app.store.models import BalloonTypeRow, Design, DesignPart, DesignSupply

MOST_PARTS = MOST_SUPPLIES = 12
MOST_OF_A_PART = 1000
MOST_OF_A_SUPPLY = 10_000.0
LONGEST_ASSEMBLY = 600.0
MOST_SEASONS = 3
MOST_STEPS, LONGEST_STEP = 20, 200


@dataclass(frozen=True, slots=True)
class PartFigures:
    """Balloons of one kind in a design. colours: fixed, with how many of each; none are the customer's choice."""

    balloon_type_id: int
    gas: Gas
    quantity: int
    colours: tuple[tuple[str, int], ...] = ()


@dataclass(frozen=True, slots=True)
class DesignFigures:
    """A design as the owner wants it. price_minor: None is computed from its cost. seasons: first and last day as
    MM-DD; none is all year. supplies: by id, how much of each is in one."""

    name: str
    parts: tuple[PartFigures, ...]
    price_minor: int | None = None
    assembly_minutes: float = 0.0
    steps: tuple[str, ...] = ()
    seasons: tuple[tuple[str, str], ...] = ()
    supplies: tuple[tuple[int, float], ...] = ()
    build: Build = field(default_factory=Build)


def add_design(session: Session, figures: DesignFigures, shop: Shop, catalogue: Catalogue) -> Design:
    """Raises Refused; a problem of a part, supply or season has its place in `line`."""
    _check(session, figures, shop, catalogue)
    design = sketch(figures)
    session.add(design)
    session.flush()
    return design


def change_design(
    session: Session, design_id: int, figures: DesignFigures, shop: Shop, catalogue: Catalogue
) -> Design:
    """What is sold from now on; orders keep it as it was. What it has may stay though archived meanwhile. Raises
    NotFound, and Refused as for a new one."""
    design = load_design(session, design_id)
    _check(session, figures, shop, catalogue, design)
    _write(design, figures)
    session.flush()
    return design


def load_design(session: Session, design_id: int) -> Design:
    design = session.get(Design, design_id)
    if design is None:
        raise NotFound("There is no such design.")
    return design


def archive_design(session: Session, design_id: int, now: datetime | None) -> Design:
    """No longer sold from now; None sells it again. Orders that have it keep it. Raises NotFound."""
    design = load_design(session, design_id)
    design.archived_at = now
    return design


def sketch(figures: DesignFigures) -> Design:
    """The design as it would be kept, in no session."""
    design = Design(archived_at=None)
    _write(design, figures)
    return design


def _write(design: Design, figures: DesignFigures) -> None:
    design.name = tidy_name(figures.name)
    design.computed, design.price_minor = figures.price_minor is None, figures.price_minor or 0
    design.assembly_minutes = figures.assembly_minutes
    design.steps = list(figures.steps)
    design.seasons = [list(season) for season in figures.seasons]
    design.build = write_build(figures.build)
    design.parts = [
        DesignPart(
            position=place,
            balloon_type_id=part.balloon_type_id,
            gas=part.gas,
            quantity=part.quantity,
            colours=[list(share) for share in part.colours],
        )
        for place, part in enumerate(figures.parts)
    ]
    design.supplies = [
        DesignSupply(position=place, supply_id=supply_id, quantity=of_one)
        for place, (supply_id, of_one) in enumerate(figures.supplies)
    ]


def _check(
    session: Session, figures: DesignFigures, shop: Shop, catalogue: Catalogue, was: Design | None = None
) -> None:
    balloon_types = {part.balloon_type_id for part in was.parts} if was else set()
    supplies = {one.supply_id for one in was.supplies} if was else set()
    problems = (
        *name_problems(tidy_name(figures.name), was.id if was else None, session.scalars(select(Design))),
        *_wrong_figures(figures),
        *_wrong_seasons(figures),
        *_wrong_parts(figures, shop, catalogue, balloon_types),
        *_wrong_supplies(figures, catalogue, supplies),
    )
    if problems:
        raise Refused(*problems)


def _wrong_figures(figures: DesignFigures) -> Iterator[Problem]:
    if (figures.price_minor or 0) < 0:
        yield Problem("price_minor", "A price of 0 or more, please.")
    if not 0.0 <= figures.assembly_minutes <= LONGEST_ASSEMBLY:
        yield Problem("assembly_minutes", f"Assembly takes 0 to {LONGEST_ASSEMBLY:g} minutes.")
    if len(figures.steps) > MOST_STEPS:
        yield Problem("steps", f"At most {MOST_STEPS} steps; these are {len(figures.steps)}.")
    for number, step in enumerate(figures.steps, 1):
        if not 1 <= len(step) <= LONGEST_STEP:
            yield Problem("steps", f"Step {number}: 1 to {LONGEST_STEP} letters; this has {len(step)}.")


def _wrong_seasons(figures: DesignFigures) -> Iterator[Problem]:
    if len(figures.seasons) > MOST_SEASONS:
        yield Problem("first", f"At most {MOST_SEASONS} seasons.", MOST_SEASONS)
    for place, season in enumerate(figures.seasons):
        for end, day in zip(("first", "last"), season, strict=True):
            try:
                check_day(day)
            except ValueError as wrong:
                yield Problem(end, str(wrong), place)


def _wrong_parts(
    figures: DesignFigures, shop: Shop, catalogue: Catalogue, saved: Collection[int]
) -> Iterator[Problem]:
    if not figures.parts:
        yield Problem("balloon_type", "What is it made of? One part at least, please.", 0)
    if len(figures.parts) > MOST_PARTS:
        yield Problem("balloon_type", f"At most {MOST_PARTS} parts.", MOST_PARTS)
    for place, part in enumerate(figures.parts):
        balloon_type = catalogue.balloon_types.get(part.balloon_type_id)
        if balloon_type is None or (balloon_type.archived_at is not None and balloon_type.id not in saved):
            yield Problem("balloon_type", "The shop has no such kind: choose another.", place)
        elif part.gas is Gas.HELIUM and not floats(balloon_type, shop):
            yield Problem("gas", f"{balloon_type.name} with helium does not float: fill it with air.", place)
        if not 1 <= part.quantity <= MOST_OF_A_PART:
            yield Problem("quantity", f"How many: from 1 to {MOST_OF_A_PART}, please.", place)
        total = sum(count for _, count in part.colours)
        if part.colours and total != part.quantity:
            yield Problem("colours", f"The colours add up to {total}, the part says {part.quantity}.", place)


def floats(row: BalloonTypeRow, shop: Shop) -> bool:
    """Whether one floats, full of helium and untreated."""
    if row.air_only:
        return False
    balloon_type = row.balloon_type()
    return (
        endurance(Filling(balloon_type, Gas.HELIUM, balloon_type.full_litres, shop.air), shop.float_defaults).budget
        > 0
    )


def _wrong_supplies(figures: DesignFigures, catalogue: Catalogue, saved: Collection[int]) -> Iterator[Problem]:
    if len(figures.supplies) > MOST_SUPPLIES:
        yield Problem("supply", f"At most {MOST_SUPPLIES} supplies.", MOST_SUPPLIES)
    for place, (supply_id, of_one) in enumerate(figures.supplies):
        row = catalogue.supplies.get(supply_id)
        if row is None or (row.archived_at is not None and row.id not in saved):
            yield Problem("supply", "The shop has no such supply: choose another.", place)
        if not 0.0 < of_one <= MOST_OF_A_SUPPLY:
            yield Problem("of_one", f"How much of it: above 0, at most {MOST_OF_A_SUPPLY:g}.", place)
        elif row is not None and row.unit == SupplyUnit.PIECE and row.sort == SupplySort.RENTAL and of_one % 1:
            yield Problem("of_one", f"{row.name} is hired out whole: a whole number, please.", place)
