"""A bouquet: where each balloon stands, how long its ribbon is, what the whole lifts and what must hold it."""

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from app.craft.piece import Piece
from app.craft.stacking import Sphere, stack_column, stack_layers
from app.physics.wind import holding_weight_g


class Stacking(StrEnum):
    LAYERS = "layers"
    COLUMN = "column"


class BouquetProblem(StrEnum):
    BALLOON_SINKS = "balloon sinks"
    BOUQUET_SINKS = "bouquet sinks"
    WEIGHT_TOO_LIGHT = "weight too light"


@dataclass(frozen=True, slots=True)
class BouquetDefaults:
    """The shop's figures for a bouquet, each a setting; common practice, no source.

    knot_below_cm: from the lowest neck down to the knot, over 0. end_cm: ribbon for tying, on every balloon, 0 or
    more. gap_cm: free air between two balloons of a column, 0 or more. ribbon_g_per_m: 0.5 for 5 mm curling
    ribbon, computed from polypropylene of 0.9 g/cm³; 0 or more. weight_factor: how many times what pulls the
    weight is, 1 or more. Raises ValueError outside.
    """

    knot_below_cm: float = 100.0
    end_cm: float = 10.0
    gap_cm: float = 0.0
    ribbon_g_per_m: float = 0.5
    weight_factor: float = 1.5

    def __post_init__(self) -> None:
        if not 0.0 < self.knot_below_cm < math.inf:
            raise ValueError(f"a knot {self.knot_below_cm} cm below the lowest neck is not below it")
        if not all(0.0 <= figure < math.inf for figure in (self.end_cm, self.gap_cm, self.ribbon_g_per_m)):
            raise ValueError("end, gap and ribbon must each be 0 or more")
        if not 1.0 <= self.weight_factor < math.inf:
            raise ValueError(f"a weight of {self.weight_factor} times what pulls is not 1 or more")


@dataclass(frozen=True, slots=True)
class Point:
    """Centimetres from the knot, z up."""

    x: float
    y: float
    z: float


@dataclass(frozen=True, slots=True)
class HungBalloon:
    """A balloon in its place. ribbon_cm: what is cut for it, whole cm, its end for tying within."""

    piece: Piece
    centre: Point
    ribbon_cm: int

    @property
    def neck(self) -> Point:
        """Its lowest point: it is reckoned as a sphere."""
        return Point(self.centre.x, self.centre.y, self.centre.z - self.piece.width_cm / 2)


@dataclass(frozen=True, slots=True)
class Cut:
    length_cm: int
    count: int


@dataclass(frozen=True, slots=True)
class Caution:
    """says: a sentence for a person. which: places in `Bouquet.hung`, where it speaks of single balloons."""

    trouble: BouquetProblem
    says: str
    which: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Bouquet:
    """hung: in the order in which the pieces were given."""

    hung: tuple[HungBalloon, ...]
    build: Stacking
    float_defaults: BouquetDefaults

    @property
    def width_cm(self) -> float:
        """Of the narrowest upright tube about its axis."""
        return 2 * max(math.hypot(h.centre.x, h.centre.y) + h.piece.width_cm / 2 for h in self.hung)

    @property
    def height_cm(self) -> float:
        """From the lowest neck to the top, without ribbons."""
        return max(h.centre.z + h.piece.width_cm / 2 for h in self.hung) - self.float_defaults.knot_below_cm

    @property
    def cuts(self) -> tuple[Cut, ...]:
        """The ribbons to cut, alike ones together, the longest first."""
        alike = Counter(h.ribbon_cm for h in self.hung)
        return tuple(Cut(length, alike[length]) for length in sorted(alike, reverse=True))

    @property
    def ribbon_m(self) -> float:
        """Metres of ribbon: the sum of the cut list."""
        return sum(cut.length_cm * cut.count for cut in self.cuts) / 100

    @property
    def net_lift_g(self) -> float:
        """What the whole lifts, its ribbons taken off; negative where it does not rise."""
        return math.fsum(h.piece.lift_g for h in self.hung) - self.ribbon_m * self.float_defaults.ribbon_g_per_m

    @property
    def pull_g(self) -> float:
        """What a weight is reckoned on: the lifts of those that rise. Ribbons and balloons that sink are not taken
        off, so that no further balloon ever asks for less weight; it is never less than the net lift."""
        return math.fsum(max(h.piece.lift_g, 0.0) for h in self.hung)

    @property
    def push_g(self) -> float:
        """The wind's push on all of them, as grams; none is taken to stand in the lee of another."""
        return math.fsum(h.piece.push_g for h in self.hung)

    def needed_weight_g(self, grip: float) -> int:
        """Whole grams, rounded up: pull × factor, or what the wind asks for where that is more.

        grip: share of its pressing weight with which the weight holds on the ground, over 0; raises ValueError
        otherwise. Source of the wind's part: `holding_weight_g`. A least weight for a steady wind, no promise.
        """
        calm = self.pull_g * self.float_defaults.weight_factor
        return math.ceil(round(max(calm, holding_weight_g(self.pull_g, self.push_g, grip)), 6))

    def cautions(self, grip: float, weight_g: float | None = None) -> tuple[Caution, ...]:
        """What is wrong with it, beginning with single balloons. weight_g: the weight chosen, grams; None is not
        judged. Raises ValueError for a grip that is not above 0."""
        found = [*self._sinking(), *self._too_heavy()]
        needed = self.needed_weight_g(grip)
        if weight_g is not None and not weight_g >= needed:
            says = f"A weight of {weight_g:g} g is too light: take at least {needed} g."
            found.append(Caution(BouquetProblem.WEIGHT_TOO_LIGHT, says))
        return tuple(found)

    def _sinking(self) -> list[Caution]:
        loss_rate = self.float_defaults.ribbon_g_per_m / 100
        which = tuple(n for n, h in enumerate(self.hung) if h.piece.lift_g - h.ribbon_cm * loss_rate <= 0)
        if not which:
            return []
        says = f"{len(which)} of {len(self.hung)} balloons cannot carry their own ribbon and hang down."
        return [Caution(BouquetProblem.BALLOON_SINKS, says, which)]

    def _too_heavy(self) -> list[Caution]:
        if self.net_lift_g > 0:
            return []
        return [Caution(BouquetProblem.BOUQUET_SINKS, "The bouquet as a whole does not rise: it needs more lift.")]


def make_bouquet(pieces: Sequence[Piece], build: Stacking, float_defaults: BouquetDefaults) -> Bouquet:
    """Balloons from the bottom up in the order given, toppers above all others, ribbons straight to one knot.

    In layers of three (see `stack_layers`) or one above another (`stack_column`, with the shop's gap). The knot is
    on the axis, so far below the lowest neck as the shop has it. A ribbon is as long as the straight way from neck
    to knot and the end for tying, rounded up to the cm; that it bends round balloons below is not reckoned. Raises
    ValueError without pieces and SlipsThrough where sizes are too far apart to rest on one another.
    """
    if not pieces:
        raise ValueError("a bouquet has at least one balloon")
    upward = sorted(range(len(pieces)), key=lambda n: pieces[n].topper)
    radii = [pieces[n].width_cm / 2 for n in upward]
    if build is Stacking.COLUMN:
        spheres = stack_column(radii, float_defaults.gap_cm)
    else:
        below = sum(not piece.topper for piece in pieces)
        spheres = stack_layers(radii[:below], radii[below:])
    places = dict(zip(upward, spheres, strict=True))
    return Bouquet(
        tuple(_hang(piece, places[n], float_defaults) for n, piece in enumerate(pieces)), build, float_defaults
    )


def _hang(piece: Piece, place: Sphere, float_defaults: BouquetDefaults) -> HungBalloon:
    centre = Point(place.x, place.y, place.z + float_defaults.knot_below_cm)
    straight = math.hypot(place.x, place.y, place.bottom + float_defaults.knot_below_cm)
    return HungBalloon(piece, centre, math.ceil(round(straight + float_defaults.end_cm, 6)))
