"""Designs: added, changed and archived. Orders keep them as they were sold."""

from collections.abc import Collection, Iterator
from dataclasses import dataclass, field
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.actions.catalogue.names import name_problems, tidy_name
from app.actions.catalogue.seasons import check_day
from app.actions.context import Context
from app.actions.errors import NotFound
from app.craft.build import Build, write_build
from app.physics.balloon import BalloonType, Gas
from app.physics.endurance import Filling, endurance
from app.quoting.catalogue import Catalogue, Design, Part, PartSupply
from app.quoting.errors import Problem, Refused
from app.quoting.request import MOST_HUNG_G
from app.quoting.shop import Shop
from app.quoting.states import SupplySort, SupplyUnit
from app.store.models import DesignPartRow, DesignRow, DesignSupplyRow

MOST_PARTS = MOST_SUPPLIES = 12
MAX_PART_QUANTITY = 1000
MAX_SUPPLY_QUANTITY = 10_000.0
LONGEST_ASSEMBLY = 600.0
MOST_SEASONS = 3
MOST_STEPS, LONGEST_STEP = 20, 200
NO_PART = "Add at least one part."
STEP_TOO_LONG = f"Step {{number}} has {{letters}} letters. Shorten it to {LONGEST_STEP}."
TYPE_NOT_AVAILABLE = "This balloon type is not available. Choose another."
SUPPLY_NOT_AVAILABLE = "This supply is not available. Choose another."
DOES_NOT_FLOAT = "{name} does not float with helium. Choose air."


@dataclass(frozen=True, slots=True)
class DesignFigures:
    """A design as the owner types it. price_minor: None is computed from its cost. seasons: first and last day as
    MM-DD; none is all year. supplies: how much of each is in one piece, by its id."""

    name: str
    parts: tuple[Part, ...]
    price_minor: int | None = None
    assembly_minutes: float = 0.0
    steps: tuple[str, ...] = ()
    seasons: tuple[tuple[str, str], ...] = ()
    supplies: tuple[tuple[int, float], ...] = ()
    build: Build = field(default_factory=Build)


def add_design(context: Context, figures: DesignFigures) -> DesignRow:
    """Saves a new design and returns it. Raises Refused; a problem of a part, supply or season has its place in
    `line`."""
    _check(context, figures)
    row = DesignRow(archived_at=None)
    _write(row, preview_design(figures))
    context.session.add(row)
    context.session.flush()
    return row


def change_design(context: Context, design_id: int, figures: DesignFigures) -> DesignRow:
    """Changes what is sold from now on; orders keep the design as it was sold.

    What the design has already may stay though it was archived meanwhile. Raises NotFound, and Refused as for a new
    one.
    """
    design = load_design(context.session, design_id)
    _check(context, figures, design)
    _write(design, preview_design(figures))
    context.session.flush()
    return design


def load_design(session: Session, design_id: int) -> DesignRow:
    """Returns the design. Raises NotFound."""
    design = session.get(DesignRow, design_id)
    if design is None:
        raise NotFound("This design does not exist.")
    return design


def archive_design(session: Session, design_id: int, now: datetime | None) -> DesignRow:
    """Archives the design from now; None restores it. Orders that have it keep it. Raises NotFound."""
    design = load_design(session, design_id)
    design.archived_at = now
    return design


def preview_design(figures: DesignFigures) -> Design:
    """Returns the design as it would be saved."""
    return Design(
        id=0,
        name=tidy_name(figures.name),
        price_minor=figures.price_minor or 0,
        assembly_minutes=figures.assembly_minutes,
        computed=figures.price_minor is None,
        steps=figures.steps,
        seasons=figures.seasons,
        build=write_build(figures.build),
        parts=figures.parts,
        supplies=tuple(
            PartSupply(supply_id, quantity_per_piece) for supply_id, quantity_per_piece in figures.supplies
        ),
        archived_at=None,
    )


def _write(row: DesignRow, design: Design) -> None:
    """Writes the design to its row."""
    row.name = design.name
    row.computed, row.price_minor = design.computed, design.price_minor
    row.assembly_minutes = design.assembly_minutes
    row.steps = list(design.steps)
    row.seasons = [list(season) for season in design.seasons]
    row.build = design.build
    row.parts = [
        DesignPartRow(
            position=place,
            balloon_type_id=part.balloon_type_id,
            gas=part.gas,
            quantity=part.quantity,
            colours=[list(share) for share in part.colours],
            hung_g=part.hung_g,
        )
        for place, part in enumerate(design.parts)
    ]
    row.supplies = [
        DesignSupplyRow(position=place, supply_id=one.supply_id, quantity=one.quantity)
        for place, one in enumerate(design.supplies)
    ]


def _check(context: Context, figures: DesignFigures, was: DesignRow | None = None) -> None:
    """Raises Refused for wrong figures. was: the design that is changed."""
    balloon_types = {part.balloon_type_id for part in was.parts} if was else set()
    supplies = {one.supply_id for one in was.supplies} if was else set()
    problems = (
        *name_problems(
            tidy_name(figures.name), was.id if was else None, context.session.scalars(select(DesignRow))
        ),
        *_wrong_figures(figures),
        *_wrong_seasons(figures),
        *_wrong_parts(figures, context.shop, context.catalogue, balloon_types),
        *_wrong_supplies(figures, context.catalogue, supplies),
    )
    if problems:
        raise Refused(*problems)


def _wrong_figures(figures: DesignFigures) -> Iterator[Problem]:
    """Yields problems with price, minutes and steps."""
    if (figures.price_minor or 0) < 0:
        yield Problem("price_minor", "Enter a price of 0 or more.")
    if not 0.0 <= figures.assembly_minutes <= LONGEST_ASSEMBLY:
        yield Problem("assembly_minutes", f"Enter an assembly time from 0 to {LONGEST_ASSEMBLY:g} min.")
    if len(figures.steps) > MOST_STEPS:
        yield Problem("steps", f"Enter at most {MOST_STEPS} steps. There are {len(figures.steps)}.")
    for number, step in enumerate(figures.steps, 1):
        if not 1 <= len(step) <= LONGEST_STEP:
            yield Problem("steps", STEP_TOO_LONG.format(number=number, letters=len(step)))


def _wrong_seasons(figures: DesignFigures) -> Iterator[Problem]:
    """Yields problems with the seasons."""
    if len(figures.seasons) > MOST_SEASONS:
        yield Problem("first", f"Enter at most {MOST_SEASONS} seasons.", MOST_SEASONS)
    for place, season in enumerate(figures.seasons):
        for end, day in zip(("first", "last"), season, strict=True):
            try:
                check_day(day)
            except ValueError as wrong:
                yield Problem(end, str(wrong), place)


def _wrong_parts(
    figures: DesignFigures, shop: Shop, catalogue: Catalogue, saved: Collection[int]
) -> Iterator[Problem]:
    """Yields problems with the parts. saved: ids of the balloon types that the design has already."""
    if not figures.parts:
        yield Problem("balloon_type", NO_PART, 0)
    if len(figures.parts) > MOST_PARTS:
        yield Problem("balloon_type", f"Enter at most {MOST_PARTS} parts.", MOST_PARTS)
    for place, part in enumerate(figures.parts):
        balloon_type = catalogue.balloon_types.get(part.balloon_type_id)
        if balloon_type is None or (balloon_type.archived_at is not None and balloon_type.id not in saved):
            yield Problem("balloon_type", TYPE_NOT_AVAILABLE, place)
        elif part.gas is Gas.HELIUM and not floats(balloon_type.balloon_type, shop):
            yield Problem("gas", DOES_NOT_FLOAT.format(name=balloon_type.name), place)
        elif part.gas is Gas.HELIUM and not floats(balloon_type.balloon_type, shop, part.hung_g):
            sentence = f"{balloon_type.name} does not float with {part.hung_g:g}\u00a0g on it. Enter less."
            yield Problem("hung_g", sentence, place)
        if not 0.0 <= part.hung_g <= MOST_HUNG_G:
            yield Problem("hung_g", f"Enter a weight from 0 to {MOST_HUNG_G:g}\u00a0g.", place)
        if not 1 <= part.quantity <= MAX_PART_QUANTITY:
            yield Problem("quantity", f"Enter a whole number from 1 to {MAX_PART_QUANTITY}.", place)
        total = sum(count for _, count in part.colours)
        if part.colours and total != part.quantity:
            yield Problem(
                "colours",
                f"The colours add up to {total}, but the part has {part.quantity}. Change one of them.",
                place,
            )


def floats(balloon_type: BalloonType, shop: Shop, hung_g: float = 0.0) -> bool:
    """Returns whether one balloon rises when it is full of helium and untreated. hung_g: grams of gift or card on
    it, besides the load of a loose balloon."""
    if balloon_type.air_only:
        return False
    load = shop.loads.loose_g + hung_g
    filling = Filling(balloon_type, Gas.HELIUM, balloon_type.full_litres, shop.air, load_g=load)
    return endurance(filling, shop.float_defaults).budget > 0


def _wrong_supplies(figures: DesignFigures, catalogue: Catalogue, saved: Collection[int]) -> Iterator[Problem]:
    """Yields problems with the supplies. saved: ids of those that the design has already."""
    if len(figures.supplies) > MOST_SUPPLIES:
        yield Problem("supply", f"Enter at most {MOST_SUPPLIES} supplies.", MOST_SUPPLIES)
    for place, (supply_id, quantity_per_piece) in enumerate(figures.supplies):
        row = catalogue.supplies.get(supply_id)
        if row is None or (row.archived_at is not None and row.id not in saved):
            yield Problem("supply", SUPPLY_NOT_AVAILABLE, place)
        if not 0.0 < quantity_per_piece <= MAX_SUPPLY_QUANTITY:
            yield Problem("quantity_per_piece", f"Enter a number above 0, at most {MAX_SUPPLY_QUANTITY:g}.", place)
        elif (
            row is not None
            and row.unit == SupplyUnit.PIECE
            and row.sort == SupplySort.RENTAL
            and quantity_per_piece % 1
        ):
            yield Problem("quantity_per_piece", f"{row.name} is a rental. Enter a whole number.", place)
