"""Stuffed balloons: what goes through the opening, what may be inside, and in which order it is done."""

import math
from dataclasses import dataclass
from enum import StrEnum

from app.craft.drawing import Ball, Drawing, Path, Stroke
from app.craft.piece import CM_PER_INCH
from app.physics.balloon import BalloonType, Gas


class Filler(StrEnum):
    BALLOONS = "small balloons"
    CONFETTI = "confetti"
    NOTHING = "nothing more"


@dataclass(frozen=True, slots=True)
class StuffingDefaults:
    """The shop's figures for stuffing, each a setting.

    largest_in: largest item, pressed together, inches across, over 0 (common practice, no source), that goes into
    a balloon of at_nominal_in, over 0. Raises ValueError outside.
    """

    largest_in: float = 5.0
    at_nominal_in: float = 18.0

    def __post_init__(self) -> None:
        if not (0.0 < self.largest_in < math.inf and 0.0 < self.at_nominal_in < math.inf):
            raise ValueError("the largest item and its balloon must be above 0")


@dataclass(frozen=True, slots=True)
class Stuffing:
    """A stuffed balloon as wished. gas: outside. item: its name, empty where there is none. item_in: inches across
    when pressed together, over 0. inner_gas: of the small balloons; asked only where the filler is balloons.
    Raises ValueError for an item without a size above 0."""

    balloon_type: BalloonType
    gas: Gas
    item: str = ""
    item_in: float = 0.0
    filler: Filler = Filler.NOTHING
    inner_gas: Gas = Gas.AIR

    def __post_init__(self) -> None:
        if self.item and not 0.0 < self.item_in < math.inf:
            raise ValueError(f"{self.item}: a size of {self.item_in} in is not above 0")


def largest_item_in(nominal_in: float, float_defaults: StuffingDefaults) -> float:
    """Inches across, pressed together, of the largest item for a balloon of that nominal size, inches over 0.

    The shop's own figure in proportion to the size (from memory, no source). Raises ValueError.
    """
    if not 0.0 < nominal_in < math.inf:
        raise ValueError(f"a size of {nominal_in} in is not above 0")
    return float_defaults.largest_in * nominal_in / float_defaults.at_nominal_in


def item_fits(item_in: float, nominal_in: float, float_defaults: StuffingDefaults) -> bool:
    """Whether an item so many inches across, pressed together, goes in. ValueError unless both are over 0."""
    if not 0.0 < item_in < math.inf:
        raise ValueError(f"an item of {item_in} in is not above 0")
    return item_in <= largest_item_in(nominal_in, float_defaults) * (1 + 1e-9)


def refusals(stuffing: Stuffing, float_defaults: StuffingDefaults) -> tuple[str, ...]:
    """Sentences that say why it cannot be made so, none where it can. Raises nothing.

    Common practice, no source: stuffing latex, and latex with an item in it, takes air only; inside and outside
    are filled with the same gas, since helium seeps through latex.
    """
    return tuple(says for says in (_too_large(stuffing, float_defaults), _gas(stuffing), _inner(stuffing)) if says)


def _too_large(stuffing: Stuffing, float_defaults: StuffingDefaults) -> str:
    if not stuffing.item or item_fits(stuffing.item_in, stuffing.balloon_type.nominal_in, float_defaults):
        return ""
    largest = largest_item_in(stuffing.balloon_type.nominal_in, float_defaults)
    return (
        f"Pressed together, the {stuffing.item} is {stuffing.item_in:g} in across: "
        f"at most {largest:.3g} in go into a balloon of {stuffing.balloon_type.nominal_in:g} in."
    )


def _gas(stuffing: Stuffing) -> str:
    material = stuffing.balloon_type.material
    with_air_only = material.traits.stuffed_with_air_only
    heavy = stuffing.balloon_type.air_only or (with_air_only and bool(stuffing.item))
    if stuffing.gas is Gas.HELIUM and heavy:
        return f"A stuffed {material} balloon takes air only." if with_air_only else "This one takes air only."
    return ""


def _inner(stuffing: Stuffing) -> str:
    if stuffing.filler is not Filler.BALLOONS or stuffing.gas is stuffing.inner_gas:
        return ""
    if stuffing.gas is Gas.HELIUM:
        return "No air balloons inside a helium balloon: helium seeps into them and they burst."
    return "No helium balloons inside one of air: their helium seeps out. Use the same gas inside and outside."


def steps(stuffing: Stuffing) -> tuple[str, ...]:
    """What is done, in order, as sentences (common practice, no source). Raises nothing; ask `refusals` first."""
    return (
        "Expand the balloon in the machine until its opening is wide.",
        *((f"Put the {stuffing.item} in.",) if stuffing.item else ()),
        *_filler_steps(stuffing),
        "Close the opening and take the balloon off the machine.",
        f"Fill it with {stuffing.gas.value} to its size.",
        "Tie it, cut the neck short and dress it with ribbon.",
        "Look it over: round, no soft spot, what is inside lies free.",
    )


def _filler_steps(stuffing: Stuffing) -> tuple[str, ...]:
    if stuffing.filler is Filler.BALLOONS:
        return (f"Put the small balloons in, filled with {stuffing.inner_gas.value} and tied.",)
    return ("Put the confetti in.",) if stuffing.filler is Filler.CONFETTI else ()


def draw_stuffed(stuffing: Stuffing) -> Drawing:
    """Seen from the side, cm, the neck's tip at y = 0: the balloon, its filler, the item as the last ball.

    Sizes of balloon and item are true; the filler is drawn, not counted. Raises nothing.
    """
    radius = stuffing.balloon_type.nominal_in * CM_PER_INCH / 2
    neck = radius / 6
    balls = [Ball(0.0, neck + radius, radius, None), *_filler_balls(stuffing.filler, radius, neck)]
    if stuffing.item:
        item = min(stuffing.item_in * CM_PER_INCH / 2, 0.9 * radius)
        balls.append(Ball(0.0, neck + radius / 20 + item, item, 0))
    tip = Path(((-neck / 2, 0.0), (neck / 2, 0.0), (0.0, neck)), Stroke.LINE, closed=True)
    inside = [stuffing.item] if stuffing.item else []
    inside += [] if stuffing.filler is Filler.NOTHING else [stuffing.filler.value]
    words = " and ".join(inside) or "nothing"
    return Drawing(
        f"A balloon of {stuffing.balloon_type.nominal_in:g} in with {words} inside.", tuple(balls), (tip,)
    )


def _filler_balls(filler: Filler, radius: float, neck: float) -> list[Ball]:
    count, share, ring = {
        Filler.BALLOONS: (7, 0.2, 0.7),
        Filler.CONFETTI: (16, 0.03, 0.85),
        Filler.NOTHING: (0, 0.0, 0.0),
    }[filler]
    turns = [2 * math.pi * (n + 0.5) / count for n in range(count)]
    return [
        Ball(ring * radius * math.sin(a), neck + radius * (1 + ring * math.cos(a)), share * radius, 1 + n % 3)
        for n, a in enumerate(turns)
    ]
