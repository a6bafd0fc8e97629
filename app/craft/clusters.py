"""This module builds fours, and columns and bases of them. A four is two pairs of balloons tied round a pole.

It treats balloons as spheres that touch and keep their shape. Source: geometry.
"""

import math
from dataclasses import dataclass
from enum import StrEnum

from app.craft.piece import check_diameter, check_within
from app.physics.wind import METRES_PER_INCH

FOUR = 4
PAIRS_IN_A_FOUR = 2
EIGHTH_TURN = math.pi / 4
MOST_COLOURS = 24
MOST_LAYERS = 1000

Centre = tuple[float, float, float]


class Pattern(StrEnum):
    """How colours run. SPIRAL: each colour winds round the pole, once in eight layers. LAYERS: each layer has one
    colour."""

    SPIRAL = "spiral"
    LAYERS = "layers"


@dataclass(frozen=True, slots=True)
class ColumnDefaults:
    """The shop's figures for columns.

    tolerance_m: how many metres a column may differ from the wanted height before a second one is offered with it;
    common practice, no source.
    """

    tolerance_m: float = 0.01


def axis_in(diameter_in: float) -> float:
    """Returns the inches from the pole's axis to the centres of a four: d/√2. Source: geometry."""
    return diameter_in / math.sqrt(2)


def reach_in(diameter_in: float) -> float:
    """Returns the inches from the pole's axis to the outermost rubber of a four. Source: geometry."""
    return axis_in(diameter_in) + diameter_in / 2


def thickest_pole_in(diameter_in: float) -> float:
    """Returns the diameter in inches of the thickest round pole between the balloons of a four: d·(√2 − 1).

    Source: geometry.
    """
    return diameter_in * (math.sqrt(2) - 1)


def rise_in(lower_in: float, upper_in: float | None = None) -> float:
    """Returns the rise: the inches from the centres of a four to those of the next, turned by 45° and resting on
    it.

    lower_in, upper_in: diameters in inches, 3 to 40; upper_in None means the same as lower_in, and then the rise is
    d·√(√2/2) = 0.8409·d. Raises ValueError outside, and when one four would sink into the other (below 0.22 of its
    size). Source: two spheres touch when their centres are half the sum of their diameters apart.
    """
    low = check_diameter(lower_in)
    up = low if upper_in is None else check_diameter(upper_in)
    level = (low**2 + up**2) / 2 - low * up / math.sqrt(2)
    square = ((low + up) / 2) ** 2 - level
    if square <= 0.0:
        raise ValueError(
            f"fours of {low:g}\u00a0in and {up:g}\u00a0in can't rest on each other: use sizes closer together"
        )
    return math.sqrt(square)


def layer(diameter_in: float, centre_height_in: float, place: int) -> tuple[Centre, ...]:
    """Returns the centres (x, y, z) in inches of the four at a place, counted from 0, with z upwards.

    Each place is turned by 45° more than the one below, so that the balloon with one number touches the one with
    the same number in the next layer. Source: geometry.
    """
    axis = axis_in(diameter_in)
    turns = [place * EIGHTH_TURN + number * 2 * EIGHTH_TURN for number in range(FOUR)]
    return tuple((axis * math.cos(turn), axis * math.sin(turn), centre_height_in) for turn in turns)


def stack(layers: int, diameter_in: float) -> tuple[tuple[Centre, ...], ...]:
    """Returns the centres in inches of each four of a column that stands on z = 0, from the ground up.

    layers: 1 to 1000. diameter_in: 3 to 40 in. Raises ValueError outside. Source: geometry.
    """
    check_within("a number of layers", layers, 1, MOST_LAYERS)
    rise = rise_in(diameter_in)
    return tuple(layer(diameter_in, diameter_in / 2 + place * rise, place) for place in range(layers))


@dataclass(frozen=True, slots=True)
class Column:
    """A column of fours. layers: 1 to 1000. diameter_in: the fill size, 3 to 40 in. Creating one raises ValueError
    outside."""

    layers: int
    diameter_in: float

    def __post_init__(self) -> None:
        check_within("a number of layers", self.layers, 1, MOST_LAYERS)
        check_diameter(self.diameter_in)

    @property
    def balloons(self) -> int:
        """How many balloons it takes."""
        return FOUR * self.layers

    @property
    def pairs(self) -> int:
        """How many pairs of balloons its fours are tied from."""
        return PAIRS_IN_A_FOUR * self.layers

    @property
    def height_m(self) -> float:
        """The metres from the ground to the top of the highest balloons: (layers − 1)·rise + d."""
        return ((self.layers - 1) * rise_in(self.diameter_in) + self.diameter_in) * METRES_PER_INCH

    @property
    def width_m(self) -> float:
        """The width of the column in metres."""
        return 2 * reach_in(self.diameter_in) * METRES_PER_INCH


def columns(height_m: float, diameter_in: float, defaults: ColumnDefaults | None = None) -> tuple[Column, ...]:
    """Returns the columns to offer for a wanted height: one within the tolerance, else the next lower and the next
    higher one.

    height_m: 0.05 to 20 m; below the height of one four, only one four is offered. diameter_in: the fill size, 3 to
    40 in. Raises ValueError outside. Source: geometry.
    """
    check_within("a height", height_m, 0.05, 20.0, "m")
    rise = rise_in(diameter_in) * METRES_PER_INCH
    steps = (height_m - diameter_in * METRES_PER_INCH) / rise
    low = max(math.floor(steps), 0) + 1
    both = (Column(low, diameter_in), Column(low + 1, diameter_in))
    near = min(both, key=lambda column: abs(column.height_m - height_m))
    tolerance = (defaults or ColumnDefaults()).tolerance_m
    if steps <= 0.0 or abs(near.height_m - height_m) <= tolerance:
        return (near,)
    return both


def colour_indexes(layers: int, colours: int, pattern: Pattern = Pattern.SPIRAL) -> tuple[tuple[int, ...], ...]:
    """Returns which colour each balloon of each layer has, counted from 0, in the order of `layer`.

    layers: 1 to 1000. colours: 1 to 24 by layers, 1 to 4 in a spiral; of three colours in a spiral, the first has
    two places in each four and makes a broad band. Raises ValueError outside.
    """
    check_within("a number of layers", layers, 1, MOST_LAYERS)
    if pattern is Pattern.SPIRAL:
        check_within("a number of colours in a spiral", colours, 1, FOUR)
        return tuple(tuple(number % colours for number in range(FOUR)) for _ in range(layers))
    check_within("a number of colours", colours, 1, MOST_COLOURS)
    return tuple((place % colours,) * FOUR for place in range(layers))


def colour_counts(layers: int, colours: int, pattern: Pattern = Pattern.SPIRAL) -> tuple[int, ...]:
    """Returns the number of balloons of each colour, which add up to 4 × layers; 0 for a colour without a layer.

    Ranges and errors are those of `colour_indexes`.
    """
    flat = [colour_index for four in colour_indexes(layers, colours, pattern) for colour_index in four]
    return tuple(flat.count(colour_index) for colour_index in range(colours))


@dataclass(frozen=True, slots=True)
class BalloonBase:
    """A base that stands round a weight: one air-filled four, or a second one that rests on it and is not larger.

    diameters_in: from the ground up, in inches, 3 to 40. Creating one raises ValueError for none or more than two,
    and for a second four that is larger than the first, or so small that it sinks into it.
    """

    diameters_in: tuple[float, ...]

    def __post_init__(self) -> None:
        check_within("a number of fours in a base", len(self.diameters_in), 1, 2)
        rise_in(self.diameters_in[0], self.diameters_in[-1])
        if self.diameters_in[-1] > self.diameters_in[0]:
            raise ValueError("the upper four of a base may not be larger than the lower")

    @property
    def balloons(self) -> int:
        """How many balloons it takes."""
        return FOUR * len(self.diameters_in)

    @property
    def pairs(self) -> int:
        """How many pairs of balloons its fours are tied from."""
        return PAIRS_IN_A_FOUR * len(self.diameters_in)

    @property
    def fours(self) -> tuple[tuple[Centre, ...], ...]:
        """The centres in inches of each four, from the ground at z = 0 up."""
        low, *rest = self.diameters_in
        lower = layer(low, low / 2, 0)
        return (lower, *(layer(up, low / 2 + rise_in(low, up), 1) for up in rest))

    @property
    def height_m(self) -> float:
        """The metres from the ground to the top of the highest balloons."""
        tops = (four[0][2] + size / 2 for four, size in zip(self.fours, self.diameters_in, strict=True))
        return max(tops) * METRES_PER_INCH

    @property
    def width_m(self) -> float:
        """The width of the base in metres."""
        return 2 * reach_in(self.diameters_in[0]) * METRES_PER_INCH
