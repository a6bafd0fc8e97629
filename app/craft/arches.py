"""This module builds arches of air-filled fours on a frame; a four is four balloons tied round the frame."""

import math
from dataclasses import dataclass

from app.craft.clusters import FOUR, PAIRS_IN_A_FOUR, axis_in, reach_in, rise_in
from app.craft.curves import Curve, Shape, bisected, curve
from app.craft.piece import check_diameter, check_within
from app.physics.wind import METRES_PER_INCH


@dataclass(frozen=True, slots=True)
class ArchDefaults:
    """The shop's figures for arches.

    squeeze: the share of a diameter by which neighbours at the inner side of a bend may press into each other, 0.01
    to 0.4; from memory, no source. Creating one raises ValueError outside.
    """

    squeeze: float = 0.15

    def __post_init__(self) -> None:
        check_within("a squeeze", self.squeeze, 0.01, 0.4)


@dataclass(frozen=True, slots=True)
class Arch:
    """Fours along a centre line, all together pressed by less than the rise of one four, so that no frame shows.

    opening_*: what is left free inside, below the crown and between feet that stand upright (slanting feet leave up
    to a third of a diameter less). warnings: sentences for a person.
    """

    line: Curve
    diameter_in: float
    fours: int
    warnings: tuple[str, ...] = ()

    @property
    def balloons(self) -> int:
        """How many balloons it takes."""
        return FOUR * self.fours

    @property
    def pairs(self) -> int:
        """How many pairs of balloons its fours are tied from."""
        return PAIRS_IN_A_FOUR * self.fours

    @property
    def pitch_m(self) -> float:
        """The metres from four to four along the centre line; at most the rise of fours that touch."""
        return (self.line.length_m - self.diameter_in * METRES_PER_INCH) / (self.fours - 1)

    @property
    def reach_m(self) -> float:
        """The metres from the centre line to the outermost rubber."""
        return reach_in(self.diameter_in) * METRES_PER_INCH

    @property
    def opening_width_m(self) -> float:
        """The width in metres that is left free between the feet."""
        return max(self.line.span_m - 2 * self.reach_m, 0.0)

    @property
    def opening_height_m(self) -> float:
        """The height in metres that is left free below the crown."""
        return max(self.line.height_m - self.reach_m, 0.0)

    @property
    def outer_width_m(self) -> float:
        """The width in metres from outside to outside, at the widest place."""
        return self.line.width_m + 2 * self.reach_m

    @property
    def outer_height_m(self) -> float:
        """The height in metres from the ground to the top."""
        return self.line.height_m + self.reach_m


def nearest_at_bend_in(radius_in: float, diameter_in: float) -> float:
    """Returns the inches between the nearest centres of two neighbouring fours at the inner side of a bend.

    The fours lie one rise apart on a centre line of this radius. Below the diameter d, the balloons press into each
    other: the innermost balloon of a four meets the two of the next four that lie beside it. radius_in: from d/√2
    inches up. diameter_in: 3 to 40 in. Raises ValueError outside. Source: geometry.
    """
    check_within("a radius", radius_in, axis_in(diameter_in), math.inf, "in")
    turn = rise_in(diameter_in) / radius_in
    innermost, beside = radius_in - axis_in(diameter_in), radius_in - diameter_in / 2
    # hypot of the differences: the law of cosines would lose its digits at a wide bend
    across = 2 * math.sqrt(innermost * beside) * math.sin(turn / 2)
    return math.hypot(beside - innermost, across, diameter_in / 2)


def least_bend_m(diameter_in: float, defaults: ArchDefaults | None = None) -> float:
    """Returns the smallest radius in metres to which a line of fours bends within the shop's squeeze.

    diameter_in: 3 to 40 in; raises ValueError outside. Source: geometry; the squeeze is a setting.
    """
    axis = axis_in(check_diameter(diameter_in))
    allowed = (1 - (defaults or ArchDefaults()).squeeze) * diameter_in
    beyond = bisected(lambda more: nearest_at_bend_in(axis + more * diameter_in, diameter_in), allowed)
    return (axis + beyond * diameter_in) * METRES_PER_INCH


def arch(
    shape: Shape,
    span_m: float,
    height_m: float | None,
    diameter_in: float,
    defaults: ArchDefaults | None = None,
) -> Arch:
    """Returns an arch of balloons of this diameter, whose centre line has this span and height in metres.

    span_m, height_m: as in `curve`; height_m None means half the span. diameter_in: 3 to 40 in. Raises ValueError
    outside, and when the line is too short for two fours. The number of fours is (length − d)/rise + 1, rounded up,
    as for a column that is bent. Source: geometry.
    """
    line = curve(shape, span_m, height_m)
    rise, diameter_m = rise_in(diameter_in) * METRES_PER_INCH, diameter_in * METRES_PER_INCH
    steps = math.ceil((line.length_m - diameter_m) / rise - 1e-9)
    if steps < 1:
        raise ValueError(
            f"a line of {line.length_m:.2f}\u00a0m is too short for two fours of {diameter_in:g}\u00a0in"
        )
    return Arch(line, diameter_in, steps + 1, _warnings_of_tight_bend(line, diameter_in, defaults))


def _warnings_of_tight_bend(line: Curve, diameter_in: float, defaults: ArchDefaults | None) -> tuple[str, ...]:
    """Returns a sentence when the line bends more than its fours can follow, else nothing."""
    least = least_bend_m(diameter_in, defaults)
    if line.tightest_m >= least:
        return ()
    return (
        f"The arch bends too tightly: to a radius of {line.tightest_m:.2f}\u00a0m."
        f" Fours of {diameter_in:g}\u00a0in balloons need {least:.2f}\u00a0m."
        " Use smaller balloons or a rounder arch.",
    )
