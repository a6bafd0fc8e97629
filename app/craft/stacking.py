"""How balloons come to stand on one another: spheres in cm, x and y across, z up, the axis at x = y = 0."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

FULL_LAYER = 3


class SlipsThrough(ValueError):
    """A balloon is too small for those it should rest on or under; the message is a sentence for a person."""


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
    """Balloons in each layer of three, from the bottom: the one that is not full comes first."""
    full, over = divmod(balloons, FULL_LAYER)
    return ((over,) if over else ()) + (FULL_LAYER,) * full


def stack_layers(radii: Sequence[float], toppers: Sequence[float] = ()) -> tuple[Sphere, ...]:
    """Layers of three touching balloons from the bottom up, each in the gaps of the one below, toppers on top.

    radii, toppers: cm, over 0, in that order in the result; the lowest point is at z = 0. Centres of a layer are
    level. A layer comes straight down on those below until the first contact: with one size every balloon then
    touches all its neighbours and a layer rises by d·√(2/3); with mixed sizes at least one does. The first topper
    rests on the whole top layer, each further one straight on the one below. Two below a full layer stand in two
    of its three places, two alone on both sides of the axis. Raises ValueError for a radius that is not above 0,
    and SlipsThrough where sizes are too far apart to rest on one another. Source: geometry of touching spheres.
    """
    _check(*radii, *toppers)
    commitments: list[Sphere] = []
    layer: list[Sphere] = []
    at = 0
    for number, size in enumerate(layer_sizes(len(radii))):
        flat = _level(radii[at : at + size], number, alone=size == len(radii))
        layer = _lower(flat, commitments)
        commitments += layer
        at += size
    for radius in toppers:
        layer = _lower([_over(layer, radius)], commitments)
        commitments += layer
    return _from_the_ground(commitments)


def stack_column(radii: Sequence[float], gap_cm: float = 0.0) -> tuple[Sphere, ...]:
    """Balloons on the axis one above another from the bottom up, the lowest point at z = 0.

    radii: cm, over 0. gap_cm: free air between two, 0 or more; 0 where each touches the next. Raises ValueError.
    """
    _check(*radii)
    if not 0.0 <= gap_cm < math.inf:
        raise ValueError(f"a gap of {gap_cm} cm is not 0 or more")
    heights = [0.0]
    for below, above in pairwise(radii):
        heights.append(heights[-1] + below + gap_cm + above)
    return _from_the_ground([Sphere(0.0, 0.0, z, radius) for z, radius in zip(heights, radii, strict=False)])


def _check(*radii: float) -> None:
    for radius in radii:
        if not 0.0 < radius < math.inf:
            raise ValueError(f"a radius of {radius} cm is not above 0")


def _from_the_ground(spheres: Sequence[Sphere]) -> tuple[Sphere, ...]:
    lowest = min((sphere.bottom for sphere in spheres), default=0.0)
    return tuple(replace(sphere, z=sphere.z - lowest) for sphere in spheres)


def _level(radii: Sequence[float], number: int, *, alone: bool) -> list[Sphere]:
    """A layer on its own: every second one is turned by half a turn, so that it faces the gaps."""
    if len(radii) == 1:
        return [Sphere(0.0, 0.0, 0.0, radii[0])]
    if alone and len(radii) == 2:
        return [Sphere(-radii[0], 0.0, 0.0, radii[0]), Sphere(radii[1], 0.0, 0.0, radii[1])]
    places = _triangle(*[*radii, max(radii)][:FULL_LAYER])
    turn = -1.0 if number % 2 else 1.0
    return [Sphere(turn * x, turn * y, 0.0, r) for (x, y), r in zip(places, radii, strict=False)]


def _triangle(first: float, second: float, third: float) -> list[tuple[float, float]]:
    """Centres of three circles that touch one another, the axis where the circle inside their triangle has its."""
    base, left, right = first + second, first + third, second + third
    along = (base**2 + left**2 - right**2) / (2 * base)
    corners = [(0.0, 0.0), (base, 0.0), (along, math.sqrt(left**2 - along**2))]
    shares = [right, left, base]
    middle = [sum(s * c[i] for s, c in zip(shares, corners, strict=True)) / sum(shares) for i in (0, 1)]
    return [(x - middle[0], y - middle[1]) for x, y in corners]


def _lower(layer: Sequence[Sphere], commitments: Sequence[Sphere]) -> list[Sphere]:
    """The layer let down straight until it touches what stands."""
    if not commitments:
        return list(layer)
    contacts = [
        below.z + math.sqrt(reach**2 - across**2)
        for above in layer
        for below in commitments
        if (across := _across(above, below)) < (reach := above.radius + below.radius)
    ]
    if not contacts:
        raise _slips(layer, commitments)
    return [replace(sphere, z=max(contacts)) for sphere in layer]


def _across(one: Sphere, other: Sphere) -> float:
    return math.hypot(one.x - other.x, one.y - other.y)


def _over(layer: Sequence[Sphere], radius: float) -> Sphere:
    """Where a topper stands, seen from above: so that, let down, it touches all of the layer at once."""
    if len(layer) < 2:
        return replace(layer[0], radius=radius) if layer else Sphere(0.0, 0.0, 0.0, radius)
    x, y = _between(*layer, radius=radius) if len(layer) == 2 else _amid(*layer, radius=radius)
    topper = Sphere(x, y, 0.0, radius)
    if any(_across(topper, below) >= radius + below.radius for below in layer):
        raise _slips([topper], layer)
    return topper


def _between(one: Sphere, other: Sphere, *, radius: float) -> tuple[float, float]:
    span = _across(one, other)
    share = ((radius + one.radius) ** 2 - (radius + other.radius) ** 2 + span**2) / (2 * span**2)
    return one.x + share * (other.x - one.x), one.y + share * (other.y - one.y)


def _amid(one: Sphere, two: Sphere, three: Sphere, *, radius: float) -> tuple[float, float]:
    """The point from which (radius + r)² - distance² is the same for all three: two linear equations."""
    rows = []
    for other in (two, three):
        squares = (other.x**2 + other.y**2) - (one.x**2 + one.y**2)
        reaches = (radius + one.radius) ** 2 - (radius + other.radius) ** 2
        rows.append((2 * (other.x - one.x), 2 * (other.y - one.y), squares + reaches))
    (a, b, e), (c, d, f) = rows
    turned = a * d - b * c
    return (e * d - b * f) / turned, (a * f - e * c) / turned


def _slips(above: Sequence[Sphere], below: Sequence[Sphere]) -> SlipsThrough:
    widths = sorted(2 * sphere.radius for sphere in (*above, *below))
    return SlipsThrough(
        f"A balloon {widths[0]:.0f} cm wide slips between those of {widths[-1]:.0f} cm: "
        "choose sizes nearer together."
    )
