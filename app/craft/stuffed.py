"""This module checks stuffed balloons: what fits through the opening, and what may be inside."""

import math
from dataclasses import dataclass
from enum import StrEnum

from app.craft.drawing import Ball, Drawing, Path, Stroke
from app.craft.piece import CM_PER_INCH
from app.physics.balloon import BalloonType, Gas

AIR_IN_HELIUM = "Put no air balloons inside a helium balloon: helium seeps into them and they burst."
HELIUM_IN_AIR = "Put no helium balloons inside an air balloon: their helium seeps out. Use the same gas for both."


class Filler(StrEnum):
    BALLOONS = "small balloons"
    CONFETTI = "confetti"
    NOTHING = "nothing more"


@dataclass(frozen=True, slots=True)
class StuffingDefaults:
    """The shop's figures for stuffing; each is a setting.

    largest_in: the width in inches, above 0, of the largest item, pressed together, that goes into a balloon of
    at_nominal_in inches, above 0 (common practice, no source). Creating one raises ValueError outside these ranges.
    """

    largest_in: float = 5.0
    at_nominal_in: float = 18.0

    def __post_init__(self) -> None:
        if not (0.0 < self.largest_in < math.inf and 0.0 < self.at_nominal_in < math.inf):
            raise ValueError("the largest item and its balloon must be above 0")


@dataclass(frozen=True, slots=True)
class Stuffing:
    """A stuffed balloon as a customer wants it.

    gas: of the outer balloon. item: the name of the item inside, empty when there is none. item_in: its width in
    inches when pressed together, above 0. filler: what else is inside. inner_gas: the gas of small balloons inside,
    which matters only when they are the filler. Creating one raises ValueError for an item without a size above 0.
    """

    balloon_type: BalloonType
    gas: Gas
    item: str = ""
    item_in: float = 0.0
    filler: Filler = Filler.NOTHING
    inner_gas: Gas = Gas.AIR

    def __post_init__(self) -> None:
        if self.item and not 0.0 < self.item_in < math.inf:
            raise ValueError(f"{self.item}: a size of {self.item_in}\u00a0in is not above 0")


def largest_item_in(nominal_in: float, defaults: StuffingDefaults) -> float:
    """Returns the width in inches, pressed together, of the largest item for a balloon of this nominal size, in
    inches.

    It is the shop's own figure in proportion to the size (from memory, no source). Raises ValueError for a size
    that is not above 0.
    """
    if not 0.0 < nominal_in < math.inf:
        raise ValueError(f"a size of {nominal_in}\u00a0in is not above 0")
    return defaults.largest_in * nominal_in / defaults.at_nominal_in


def item_fits(item_in: float, nominal_in: float, defaults: StuffingDefaults) -> bool:
    """Returns whether an item of this width in inches, pressed together, goes into a balloon of this nominal size.

    Raises ValueError unless both are above 0.
    """
    if not 0.0 < item_in < math.inf:
        raise ValueError(f"an item of {item_in}\u00a0in is not above 0")
    return item_in <= largest_item_in(nominal_in, defaults) * (1 + 1e-9)


def reasons_not_to_make(stuffing: Stuffing, defaults: StuffingDefaults) -> tuple[str, ...]:
    """Returns sentences that say why it cannot be made like this; none when it can. Raises no errors.

    Common practice, no source: latex for stuffing, and latex with an item in it, takes air only; inside and outside
    are filled with the same gas, because helium seeps through latex.
    """
    return tuple(
        sentence for sentence in (_too_large(stuffing, defaults), _gas(stuffing), _inner(stuffing)) if sentence
    )


def _too_large(stuffing: Stuffing, defaults: StuffingDefaults) -> str:
    """Returns a sentence when the item is too large for the opening, else ''."""
    if not stuffing.item or item_fits(stuffing.item_in, stuffing.balloon_type.nominal_in, defaults):
        return ""
    largest = largest_item_in(stuffing.balloon_type.nominal_in, defaults)
    return (
        f"The {stuffing.item} is too large: {stuffing.item_in:.3g}\u00a0in wide when pressed together. "
        f"A {stuffing.balloon_type.nominal_in:g}\u00a0in balloon takes at most {largest:.3g}\u00a0in."
    )


def _gas(stuffing: Stuffing) -> str:
    """Returns a sentence when the balloon may not be filled with helium, else ''."""
    material = stuffing.balloon_type.material
    with_air_only = material.traits.stuffed_with_air_only
    heavy = stuffing.balloon_type.air_only or (with_air_only and bool(stuffing.item))
    if stuffing.gas is Gas.HELIUM and heavy:
        return f"A stuffed {material} balloon takes only air." if with_air_only else "This balloon takes only air."
    return ""


def _inner(stuffing: Stuffing) -> str:
    """Returns a sentence when the gas inside differs from the gas outside, else ''."""
    if stuffing.filler is not Filler.BALLOONS or stuffing.gas is stuffing.inner_gas:
        return ""
    if stuffing.gas is Gas.HELIUM:
        return AIR_IN_HELIUM
    return HELIUM_IN_AIR


def draw_stuffed(stuffing: Stuffing, filler_colours: int = 3) -> Drawing:
    """Returns a drawing of it from the side in cm, with the tip of the neck at y = 0: the balloon, then its filler,
    then the item as the last ball.

    Balloon and item have their true sizes; the filler is only a picture. The item has the first colour, the filler
    those that follow, of which there are filler_colours, 1 or more; the balloon has the last. Raises no errors.
    """
    radius = stuffing.balloon_type.nominal_in * CM_PER_INCH / 2
    neck = radius / 6
    filler = _filler_balls(stuffing.filler, radius, neck, filler_colours)
    balls = [Ball(0.0, neck + radius, radius, 1 + filler_colours), *filler]
    if stuffing.item:
        item = min(stuffing.item_in * CM_PER_INCH / 2, 0.9 * radius)
        balls.append(Ball(0.0, neck + radius / 20 + item, item, 0, part=1, is_item=True))
    tip = Path(((-neck / 2, 0.0), (neck / 2, 0.0), (0.0, neck)), Stroke.LINE, closed=True)
    inside = [stuffing.item] if stuffing.item else []
    inside += [] if stuffing.filler is Filler.NOTHING else [stuffing.filler.value]
    words = " and ".join(inside) or "nothing"
    return Drawing(
        f"Balloon of {stuffing.balloon_type.nominal_in:g}\u00a0in with {words} inside.", tuple(balls), (tip,)
    )


def _filler_balls(filler: Filler, radius: float, neck: float, colours: int) -> list[Ball]:
    count, share, ring = {
        Filler.BALLOONS: (7, 0.2, 0.7),
        Filler.CONFETTI: (16, 0.03, 0.85),
        Filler.NOTHING: (0, 0.0, 0.0),
    }[filler]
    turns = [2 * math.pi * (n + 0.5) / count for n in range(count)]
    return [
        Ball(x, y, share * radius, 1 + n % colours, part=2)
        for n, (x, y) in enumerate(
            (ring * radius * math.sin(a), neck + radius * (1 + ring * math.cos(a))) for a in turns
        )
    ]
