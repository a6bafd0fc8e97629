"""This module stacks balloons on one another, as spheres in cm with z upwards and the axis at x = y = 0."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

FULL_LAYER = 3


class CannotStack(ValueError):
    """Raised when a balloon is too small to rest on or under its neighbours; the message is a sentence for a
    person."""


@dataclass(frozen=True, slots=True)
class Sphere:
    """A balloon as a sphere: its centre and its radius, cm."""

    x: float
    y: float
    z: float
    radius: float

    @property
    def bottom(self) -> float:
        return self.z - self.radius

    @property
    def top(self) -> float:
        return self.z + self.radius


def layer_sizes(balloons: int) -> tuple[int, ...]:
    """Returns the number of balloons in each layer of three, from the bottom up.

    A layer that is not full is the lowest one.
    """
    full, over = divmod(balloons, FULL_LAYER)
    return ((over,) if over else ()) + (FULL_LAYER,) * full


def stack_layers(radii: Sequence[float], toppers: Sequence[float] = ()) -> tuple[Sphere, ...]:
    """Returns layers of three touching balloons from the bottom up, each in the gaps of the layer below, and the
    toppers above them.

    radii, toppers: in cm, above 0; the result has the same order, and its lowest point lies at z = 0. The centres
    of a layer are level. A layer comes straight down on the balloons below until the first contact. With one size,
    every balloon then touches all its neighbours, and each layer lies d·√(2/3) above the one below; with mixed
    sizes, at least one balloon touches. The first topper rests on the whole top layer, each further one straight on
    the one below. When the lowest layer has two balloons, they stand in two of the three places if a layer lies
    above them, and else on both sides of the axis. Raises ValueError for a radius that is not above 0, and
    CannotStack when sizes are too different to rest on one another. Source: geometry of touching spheres.
    """
    _check(*radii, *toppers)
    placed: list[Sphere] = []
    layer: list[Sphere] = []
    at = 0
    for number, size in enumerate(layer_sizes(len(radii))):
        flat = _level(radii[at : at + size], number, alone=size == len(radii))
        layer = _lower(flat, placed)
        placed += layer
        at += size
    for radius in toppers:
        layer = _lower([_over(layer, radius)], placed)
        placed += layer
    return _from_the_ground(placed)


def stack_column(radii: Sequence[float], gap_cm: float = 0.0) -> tuple[Sphere, ...]:
    """Returns balloons on the axis, one above another from the bottom up, with the lowest point at z = 0.

    radii: in cm, above 0. gap_cm: the free space between two, 0 or more; at 0 each touches the next. Raises
    ValueError outside these ranges. Source: geometry of touching spheres.
    """
    _check(*radii)
    if not 0.0 <= gap_cm < math.inf:
        raise ValueError(f"a gap of {gap_cm}\u00a0cm is not 0 or more")
    heights = [0.0]
    for below, above in pairwise(radii):
        heights.append(heights[-1] + below + gap_cm + above)
    return _from_the_ground([Sphere(0.0, 0.0, z, radius) for z, radius in zip(heights, radii, strict=False)])


def _check(*radii: float) -> None:
    """Raises ValueError for a radius that is not above 0."""
    for radius in radii:
        if not 0.0 < radius < math.inf:
            raise ValueError(f"a radius of {radius}\u00a0cm is not above 0")


def _from_the_ground(spheres: Sequence[Sphere]) -> tuple[Sphere, ...]:
    """Returns the spheres moved up or down together, so that their lowest point lies at z = 0."""
    lowest = min((sphere.bottom for sphere in spheres), default=0.0)
    return tuple(replace(sphere, z=sphere.z - lowest) for sphere in spheres)


def _level(radii: Sequence[float], number: int, *, alone: bool) -> list[Sphere]:
    """Returns the layer with this number, counted from 0, at z = 0.

    Every second layer is turned by half a turn, so that its balloons lie above the gaps of the one below. alone:
    whether it is the only layer.
    """
    if len(radii) == 1:
        return [Sphere(0.0, 0.0, 0.0, radii[0])]
    if alone and len(radii) == 2:
        return [Sphere(-radii[0], 0.0, 0.0, radii[0]), Sphere(radii[1], 0.0, 0.0, radii[1])]
    places = _triangle(*[*radii, max(radii)][:FULL_LAYER])
    turn = -1.0 if number % 2 else 1.0
    return [Sphere(turn * x, turn * y, 0.0, r) for (x, y), r in zip(places, radii, strict=False)]


def _triangle(first: float, second: float, third: float) -> list[tuple[float, float]]:
    """Returns the centres of three circles with these radii that touch one another.

    The centre of the circle inscribed in their triangle lies at x = y = 0.
    """
    base, left, right = first + second, first + third, second + third
    along = (base**2 + left**2 - right**2) / (2 * base)
    corners = [(0.0, 0.0), (base, 0.0), (along, math.sqrt(left**2 - along**2))]
    shares = [right, left, base]
    middle = [sum(s * c[i] for s, c in zip(shares, corners, strict=True)) / sum(shares) for i in (0, 1)]
    return [(x - middle[0], y - middle[1]) for x, y in corners]


def _lower(layer: Sequence[Sphere], placed: Sequence[Sphere]) -> list[Sphere]:
    """Returns the layer moved straight down until it touches a balloon that is already placed.

    Raises CannotStack when it would touch none.
    """
    if not placed:
        return list(layer)
    contacts = [
        below.z + math.sqrt(reach**2 - across**2)
        for above in layer
        for below in placed
        if (across := _across(above, below)) < (reach := above.radius + below.radius)
    ]
    if not contacts:
        raise _slips(layer, placed)
    return [replace(sphere, z=max(contacts)) for sphere in layer]


def _across(one: Sphere, other: Sphere) -> float:
    """Returns the distance of the centres seen from above, in cm."""
    return math.hypot(one.x - other.x, one.y - other.y)


def _over(layer: Sequence[Sphere], radius: float) -> Sphere:
    """Returns a topper of this radius above the layer, at a place from which, moved straight down, it touches all
    balloons of the layer at once.

    Raises CannotStack when it would fall between them.
    """
    if len(layer) < 2:
        return replace(layer[0], radius=radius) if layer else Sphere(0.0, 0.0, 0.0, radius)
    x, y = _above_two(*layer, radius=radius) if len(layer) == 2 else _above_three(*layer, radius=radius)
    topper = Sphere(x, y, 0.0, radius)
    if any(_across(topper, below) >= radius + below.radius for below in layer):
        raise _slips([topper], layer)
    return topper


def _above_two(one: Sphere, other: Sphere, *, radius: float) -> tuple[float, float]:
    """Returns where, seen from above, a sphere of this radius rests on two others."""
    span = _across(one, other)
    share = ((radius + one.radius) ** 2 - (radius + other.radius) ** 2 + span**2) / (2 * span**2)
    return one.x + share * (other.x - one.x), one.y + share * (other.y - one.y)


def _above_three(one: Sphere, two: Sphere, three: Sphere, *, radius: float) -> tuple[float, float]:
    """Returns where, seen from above, a sphere of this radius rests on three others.

    It is the point for which (radius + r)² - distance² is the same for all three, found by two linear equations.
    """
    rows = []
    for other in (two, three):
        squares = (other.x**2 + other.y**2) - (one.x**2 + one.y**2)
        reaches = (radius + one.radius) ** 2 - (radius + other.radius) ** 2
        rows.append((2 * (other.x - one.x), 2 * (other.y - one.y), squares + reaches))
    (a, b, e), (c, d, f) = rows
    determinant = a * d - b * c
    return (e * d - b * f) / determinant, (a * f - e * c) / determinant


def _slips(above: Sequence[Sphere], below: Sequence[Sphere]) -> CannotStack:
    """Returns the error, with its sentence, for balloons of which the smallest slips between the largest."""
    widths = sorted(2 * sphere.radius for sphere in (*above, *below))
    return CannotStack(
        f"Balloons {widths[0]:.0f}\u00a0cm wide fall between balloons {widths[-1]:.0f}\u00a0cm wide. "
        "Use sizes closer together."
    )
