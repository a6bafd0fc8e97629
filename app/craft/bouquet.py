"""This module builds a bouquet: where each balloon stands, how long its ribbon is, what it all lifts, and which
weight holds it."""

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import islice

from app.craft.piece import BouquetBalloon
from app.craft.stacking import Sphere, layer_sizes, stack_column, stack_layers
from app.physics.wind import holding_weight_g


class Stacking(StrEnum):
    LAYERS = "layers"
    COLUMN = "column"


BOUQUET_DOES_NOT_RISE = "The bouquet does not rise. Add helium balloons or use lighter ribbon."


class BouquetProblem(StrEnum):
    BALLOON_SINKS = "balloon sinks"
    BOUQUET_SINKS = "bouquet sinks"
    WEIGHT_TOO_LIGHT = "weight too light"


@dataclass(frozen=True, slots=True)
class BouquetDefaults:
    """The shop's figures for a bouquet. Each is a setting; the defaults are common practice, no source.

    knot_below_cm: from the lowest neck down to the knot, above 0. end_cm: the end of each ribbon for tying, 0 or
    more. gap_cm: the free space between two balloons of a column, 0 or more. ribbon_g_per_m: grams of one metre of
    ribbon, 0 or more; 0.5 for 5 mm curling ribbon, computed from polypropylene of 0.9 g/cm³. weight_factor: how
    many times the pull of the balloons their weight must be, 1 or more.

    Creating one raises ValueError outside these ranges.
    """

    knot_below_cm: float = 100.0
    end_cm: float = 10.0
    gap_cm: float = 0.0
    ribbon_g_per_m: float = 0.5
    weight_factor: float = 1.5

    def __post_init__(self) -> None:
        if not 0.0 < self.knot_below_cm < math.inf:
            raise ValueError(f"a knot {self.knot_below_cm}\u00a0cm below the lowest neck is not below it")
        if not all(0.0 <= figure < math.inf for figure in (self.end_cm, self.gap_cm, self.ribbon_g_per_m)):
            raise ValueError("end, gap and ribbon must each be 0 or more")
        if not 1.0 <= self.weight_factor < math.inf:
            raise ValueError(f"a weight of {self.weight_factor} times what pulls is not 1 or more")


@dataclass(frozen=True, slots=True)
class Point:
    """A point, in centimetres from the knot, with z upwards."""

    x: float
    y: float
    z: float


@dataclass(frozen=True, slots=True)
class PlacedBalloon:
    """A balloon in its place. ribbon_cm: the ribbon to cut for it, in whole cm, including the end for tying."""

    piece: BouquetBalloon
    centre: Point
    ribbon_cm: int

    @property
    def neck(self) -> Point:
        """Its lowest point, as if it were a sphere."""
        return Point(self.centre.x, self.centre.y, self.centre.z - self.piece.width_cm / 2)


@dataclass(frozen=True, slots=True)
class Cut:
    """The number of ribbons to cut to one length."""

    length_cm: int
    count: int


@dataclass(frozen=True, slots=True)
class Caution:
    """Something that is wrong with a bouquet. sentence: what is wrong and what to do. indexes: the places in
    `Bouquet.balloons` of the balloons concerned; empty when it concerns the whole bouquet."""

    problem: BouquetProblem
    sentence: str
    indexes: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Bouquet:
    """A bouquet. balloons: each in its place, in the order in which the pieces were given."""

    balloons: tuple[PlacedBalloon, ...]
    build: Stacking
    defaults: BouquetDefaults

    @property
    def layers(self) -> tuple[tuple[PlacedBalloon, ...], ...]:
        """The balloons that are tied in together, from the top down: each topper by itself, then the layers of
        three; in a column, each balloon by itself."""
        upward = sorted(self.balloons, key=lambda balloon: balloon.piece.topper)
        toppers = sum(balloon.piece.topper for balloon in upward)
        in_column = self.build is Stacking.COLUMN
        sizes = (1,) * len(upward) if in_column else (*layer_sizes(len(upward) - toppers), *(1,) * toppers)
        rest = iter(upward)
        return tuple(reversed([tuple(islice(rest, size)) for size in sizes]))

    @property
    def width_cm(self) -> float:
        """The diameter, in cm, of the narrowest upright tube about its axis that holds it."""
        return 2 * max(
            math.hypot(balloon.centre.x, balloon.centre.y) + balloon.piece.width_cm / 2 for balloon in self.balloons
        )

    @property
    def height_cm(self) -> float:
        """The height in cm from the lowest neck to the top, without ribbons."""
        return (
            max(balloon.centre.z + balloon.piece.width_cm / 2 for balloon in self.balloons)
            - self.defaults.knot_below_cm
        )

    @property
    def cuts(self) -> tuple[Cut, ...]:
        """The ribbons to cut, those of one length together, the longest first."""
        alike = Counter(balloon.ribbon_cm for balloon in self.balloons)
        return tuple(Cut(length, alike[length]) for length in sorted(alike, reverse=True))

    @property
    def ribbon_m(self) -> float:
        """Metres of ribbon: the sum of the cut list."""
        return sum(cut.length_cm * cut.count for cut in self.cuts) / 100

    @property
    def net_lift_g(self) -> float:
        """The grams that the whole bouquet lifts, less its ribbons; below 0 when it does not rise."""
        return (
            math.fsum(balloon.piece.lift_g for balloon in self.balloons)
            - self.ribbon_m * self.defaults.ribbon_g_per_m
        )

    @property
    def pull_g(self) -> float:
        """The grams of pull for which the weight is calculated: the sum of the lifts of the balloons that rise.

        Ribbons and balloons that sink are not subtracted, so that no further balloon ever needs less weight; it is
        never less than the net lift.
        """
        return math.fsum(max(balloon.piece.lift_g, 0.0) for balloon in self.balloons)

    @property
    def push_g(self) -> float:
        """The grams of the wind's push on all balloons, as if none of them shielded another."""
        return math.fsum(balloon.piece.push_g for balloon in self.balloons)

    def needed_weight_g(self, grip: float) -> int:
        """Returns the weight that it needs, in whole grams rounded up: its pull times the shop's factor, or the
        weight that the wind requires if that is more.

        grip: the friction of the weight on the ground, as a share of the force with which it presses down, above 0;
        raises ValueError otherwise. Source of the wind's part: `holding_weight_g`. It is a least weight for a
        steady wind, no promise.
        """
        without_wind = self.pull_g * self.defaults.weight_factor
        return math.ceil(round(max(without_wind, holding_weight_g(self.pull_g, self.push_g, grip)), 6))

    def cautions(self, grip: float, weight_g: float | None = None) -> tuple[Caution, ...]:
        """Returns what is wrong with the bouquet, first with single balloons.

        weight_g: the chosen weight in grams, which must be heavy enough; None when none was chosen. Raises
        ValueError for a grip that is not above 0.
        """
        found = [*self._sinking(), *self._too_heavy()]
        needed = self.needed_weight_g(grip)
        if weight_g is not None and not weight_g >= needed:
            sentence = f"The weight of {weight_g:g}\u00a0g is too light: use at least {needed}\u00a0g."
            found.append(Caution(BouquetProblem.WEIGHT_TOO_LIGHT, sentence))
        return tuple(found)

    def _sinking(self) -> list[Caution]:
        """Returns a caution about the balloons that cannot carry their own ribbon, if there are any."""
        ribbon_g_per_cm = self.defaults.ribbon_g_per_m / 100
        which = tuple(
            n
            for n, balloon in enumerate(self.balloons)
            if balloon.piece.lift_g - balloon.ribbon_cm * ribbon_g_per_cm <= 0
        )
        if not which:
            return []
        sentence = f"{len(which)} of {len(self.balloons)} balloons can't lift their own ribbon. Use lighter ribbon."
        return [Caution(BouquetProblem.BALLOON_SINKS, sentence, which)]

    def _too_heavy(self) -> list[Caution]:
        """Returns a caution when the whole bouquet does not rise."""
        if self.net_lift_g > 0:
            return []
        return [Caution(BouquetProblem.BOUQUET_SINKS, BOUQUET_DOES_NOT_RISE)]


def make_bouquet(pieces: Sequence[BouquetBalloon], build: Stacking, defaults: BouquetDefaults) -> Bouquet:
    """Returns a bouquet of these balloons, from the bottom up in the order given, with toppers above all others.

    They stand in layers of three (see `stack_layers`) or one above another (see `stack_column`, with the shop's
    gap). All ribbons run straight to one knot, which lies on the axis as far below the lowest neck as the shop has
    set. A ribbon is as long as the way from neck to knot and its end for tying, rounded up to the cm; that it bends
    round the balloons below is not included. Raises ValueError without pieces, and CannotStack when their sizes
    are too different to rest on one another.
    """
    if not pieces:
        raise ValueError("a bouquet has at least one balloon")
    upward = sorted(range(len(pieces)), key=lambda n: pieces[n].topper)
    radii = [pieces[n].width_cm / 2 for n in upward]
    if build is Stacking.COLUMN:
        spheres = stack_column(radii, defaults.gap_cm)
    else:
        below = sum(not piece.topper for piece in pieces)
        spheres = stack_layers(radii[:below], radii[below:])
    places = dict(zip(upward, spheres, strict=True))
    return Bouquet(
        tuple(_place_balloon(piece, places[n], defaults) for n, piece in enumerate(pieces)), build, defaults
    )


def _place_balloon(piece: BouquetBalloon, place: Sphere, defaults: BouquetDefaults) -> PlacedBalloon:
    """Returns the balloon at its place above the knot, with its ribbon."""
    centre = Point(place.x, place.y, place.z + defaults.knot_below_cm)
    straight = math.hypot(place.x, place.y, place.bottom + defaults.knot_below_cm)
    return PlacedBalloon(piece, centre, math.ceil(round(straight + defaults.end_cm, 6)))
