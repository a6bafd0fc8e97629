"""What becomes of the balloons of a batch: how many are sold singly, tied in pairs, and stuffed."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from app.craft.build import Construction
from app.physics.balloon import Gas
from app.quoting.build_sheets.input import BuildInput
from app.quoting.catalogue import Catalogue
from app.quoting.parts import BatchSpec
from app.quoting.recipe import Recipe, construction_of

PAIRED = (Construction.BASE, Construction.COLUMN, Construction.ARCH, Construction.GARLAND)
"""Constructions whose balloons are tied neck to neck, two by two."""


@dataclass(frozen=True, slots=True)
class BatchUse:
    """Numbers of balloons. singly: not part of a design. paired: tied neck to neck. stuffed: filled in the stuffing
    machine."""

    singly: int = 0
    paired: int = 0
    stuffed: int = 0

    def __add__(self, other: "BatchUse") -> "BatchUse":
        return BatchUse(self.singly + other.singly, self.paired + other.paired, self.stuffed + other.stuffed)


@dataclass(frozen=True, slots=True)
class UsedLine:
    """A line with its parts, for the whole line. is_design: whether it is a design, not loose balloons."""

    is_design: bool
    recipe: Recipe
    parts: Mapping[BatchSpec, Mapping[str, int]]


def use_of_batch(lines: Iterable[UsedLine], batch: BatchSpec, catalogue: Catalogue) -> BatchUse:
    """Returns what the lines of an order make of a batch. What only the stuffing machine fills is always
    stuffed."""
    used = BatchUse()
    for line in lines:
        used += _use_in_line(line, batch, catalogue)
    return used


def _use_in_line(line: UsedLine, batch: BatchSpec, catalogue: Catalogue) -> BatchUse:
    """Returns what one line makes of a batch."""
    count, construction = sum(line.parts.get(batch, {}).values()), construction_of(line.recipe)
    if not count:
        return BatchUse()
    row = catalogue.balloon_types[batch.balloon_type_id]
    is_outer = construction is Construction.STUFFED and batch == _outer(line.parts, catalogue)
    is_stuffed = is_outer or row.material.traits.is_stuffed(air_only=row.air_only)
    is_paired = construction in PAIRED and batch.gas is Gas.AIR and row.material.traits.is_tied
    return BatchUse(
        singly=0 if line.is_design else count,
        paired=count if is_paired and not is_stuffed else 0,
        stuffed=count if is_stuffed else 0,
    )


def _outer(parts: Iterable[BatchSpec], catalogue: Catalogue) -> BatchSpec:
    """Returns the batch of the balloon that the others go into: the largest."""
    return max(parts, key=lambda spec: catalogue.balloon_types[spec.balloon_type_id].nominal_in)


def use_of_group(build_input: BuildInput, index: int) -> BatchUse:
    """Returns what a piece makes of the balloons of its group with this index."""
    group, construction = build_input.balloons[index], build_input.build.construction
    is_stuffed = group.is_stuffed or (construction is Construction.STUFFED and group is build_input.outer)
    is_paired = construction in PAIRED and group.is_tied and not group.rises
    return BatchUse(paired=group.count if is_paired else 0, stuffed=group.count if is_stuffed else 0)
