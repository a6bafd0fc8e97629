"""This module lists what a crew or a driver loads: gas, stands, balloons, tools and papers."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from app.physics.balloon import Gas
from app.store.queries.pickup_rows import BatchProgress, PickupRow
from app.web.wording.materials import nozzle_name


@dataclass(frozen=True, slots=True)
class LoadGroup:
    """What is loaded of one sort. key: for programs."""

    key: str
    name: str
    items: tuple[str, ...]


def loading_list(
    row: PickupRow, cylinders: Sequence[str], helium_needed: str, unpaid: str, *, sets_up: bool
) -> tuple[LoadGroup, ...]:
    """Returns what is loaded for a hand-over at the customer's place, without empty groups.

    cylinders: names of those that go along. helium_needed: how much, as the page writes it; empty if it is not
    known. unpaid: what is still to pay, empty if nothing is. sets_up: whether a crew sets up what it delivers.
    """
    sorts: tuple[tuple[str, str, Iterable[str]], ...]
    if row.at_venue:
        sorts = (
            ("gas", "Gas", _gas(row, cylinders, helium_needed)),
            ("stands", "Stands", _stands(row)),
            ("balloons", "Balloons, not filled", map(_empty_balloons, _batches(row))),
            ("tools", "Tools", _tools_to_fill(row)),
        )
    else:
        sorts = (
            ("balloons", "Filled", (line.text for line in row.lines)),
            ("stands", "Stands", _stands(row)),
            ("tools", "Tools", ("Scissors, tape and ribbon", "Hand pump and spare balloons") if sets_up else ()),
        )
    papers = ("papers", "Papers and money", _papers(unpaid))
    groups = (LoadGroup(key, name, tuple(items)) for key, name, items in (*sorts, papers))
    return tuple(group for group in groups if group.items)


def _batches(row: PickupRow) -> list[BatchProgress]:
    return [batch for batch in row.batches if batch.quantity]


def _gas(row: PickupRow, cylinders: Sequence[str], helium_needed: str) -> Iterator[str]:
    if not row.weighted:
        return
    if helium_needed:
        yield f"{helium_needed} of helium"
    yield from (f"Cylinder {name}" for name in cylinders)
    if not cylinders:
        yield "Cylinder: not chosen yet"


def _stands(row: PickupRow) -> Iterator[str]:
    if row.at_venue:
        yield "Filling stand"
        if row.weighted:
            yield "Cylinder trolley with its chain"
    yield from (f"{count} × {name}" for name, count in row.rentals)


def _empty_balloons(batch: BatchProgress) -> str:
    """Returns the balloons of a batch: “24 × 11 in latex, 12 red, 12 white, and 2 spares”."""
    colours = "".join(f", {count} {name}" for name, count in batch.colours if name)
    spares = f", and {batch.spares} {'spare' if batch.spares == 1 else 'spares'}" if batch.spares else ""
    return f"{batch.quantity} × {batch.balloon_type_name}{colours}{spares}"


def _tools_to_fill(row: PickupRow) -> Iterator[str]:
    for name in dict.fromkeys(nozzle_name(batch.material, Gas(batch.gas)) for batch in _batches(row)):
        yield name[0].upper() + name[1:]
    if any(batch.material.traits.is_sized(air_only=False) for batch in _batches(row)):
        yield "Sizer"
    if row.weighted:
        yield "Weights"
    yield "Scissors, tape and ribbon"


def _papers(unpaid: str) -> Iterator[str]:
    yield "Confirmation with its cautions"
    if unpaid:
        yield f"{unpaid} to collect"
