"""This module draws columns, bases, arches, garlands and strung arches from the front, in centimetres."""

import math
from collections.abc import Iterator, Mapping, Sequence

from app.craft.arches import Arch
from app.craft.clusters import (
    FOUR,
    MOST_COLOURS,
    BalloonBase,
    Centre,
    Column,
    Pattern,
    colour_counts,
    colour_indexes,
    layer,
    stack,
)
from app.craft.curves import Spot, spots
from app.craft.drawing import Ball, Drawing, Path, Stroke
from app.craft.garland import Garland, largest_remainders
from app.craft.piece import check_within
from app.craft.strung import StrungArch
from app.physics.wind import METRES_PER_INCH

CM_PER_INCH = METRES_PER_INCH * 100
LONGEST_STRETCH_M = 3.0
LINE_SAMPLES = 48
WEIGHT_CM = 8.0
GOLDEN = (math.sqrt(5) - 1) / 2
IN_FRONT = -1e-9


def draw_column(column: Column, colours: int = 1, pattern: Pattern = Pattern.SPIRAL) -> Drawing:
    """Returns the drawing of a column with this number of colours. Raises ValueError for colours as
    `colour_indexes` does."""
    numbers = colour_indexes(column.layers, colours, pattern)
    half, top = column.width_m * 50, column.height_m * 100
    counts = _colours_in_words(colour_counts(column.layers, colours, pattern), pattern)
    return Drawing(
        text=f"Column of {_fours(column.layers)}, {column.balloons} balloons of {column.diameter_in:g}\u00a0in,"
        f" {column.height_m:.2f}\u00a0m high{counts}.",
        balls=tuple(
            _visible_balls(stack(column.layers, column.diameter_in), [column.diameter_in] * column.layers, numbers)
        ),
        paths=(Path(((0.0, 0.0), (0.0, top)), Stroke.POLE), _ground(half)),
        four=numbers[0],
    )


def draw_base(base: BalloonBase, colours: int = 1) -> Drawing:
    """Returns the drawing of a base, its colours in a spiral. Raises ValueError for colours as `colour_indexes`
    does."""
    numbers = colour_indexes(len(base.diameters_in), colours)
    sizes = " and ".join(f"four of {size:g}\u00a0in" for size in base.diameters_in)
    return Drawing(
        text=f"Base of {base.balloons} balloons around a weight, {sizes}, {base.height_m:.2f}\u00a0m high,"
        f" {base.width_m:.2f}\u00a0m wide.",
        balls=tuple(_visible_balls(base.fours, base.diameters_in, numbers)),
        paths=(_ground(base.width_m * 50),),
        four=numbers[0],
    )


def draw_arch(arch: Arch, colours: int = 1, pattern: Pattern = Pattern.SPIRAL) -> Drawing:
    """Returns the drawing of an arch with this number of colours. Raises ValueError for colours as
    `colour_indexes` does."""
    numbers = colour_indexes(arch.fours, colours, pattern)
    start = arch.diameter_in * METRES_PER_INCH / 2
    places = spots(arch.line, tuple(start + place * arch.pitch_m for place in range(arch.fours)))
    balls = [
        ball
        for place, spot in enumerate(places)
        for ball in _visible_balls_of_four(
            spot, layer(arch.diameter_in, 0.0, place), arch.diameter_in, numbers[place], place
        )
    ]
    counts = _colours_in_words(colour_counts(arch.fours, colours, pattern), pattern)
    return Drawing(
        text=f"Arch of {_fours(arch.fours)}, {arch.balloons} balloons of {arch.diameter_in:g}\u00a0in, on a"
        f" line of {arch.line.length_m:.2f}\u00a0m{counts}. Outside: {arch.outer_width_m:.2f}\u00a0m wide and"
        f" {arch.outer_height_m:.2f}\u00a0m high. Opening: {arch.opening_width_m:.2f}\u00a0m wide and"
        f" {arch.opening_height_m:.2f}\u00a0m high.",
        balls=tuple(ball for _, ball in sorted(balls, key=lambda pair: pair[0])),
        paths=(
            Path(_line(spots(arch.line, _even_distances(arch.line.length_m))), Stroke.POLE),
            _ground(arch.outer_width_m * 50),
        ),
        four=numbers[0],
    )


def draw_garland(
    garland: Garland, colours: int = 1, by_size: Mapping[float, Sequence[int]] | None = None
) -> Drawing:
    """Returns the drawing of a garland, of a long one only 3 m, with the larger balloons behind. The smallest are
    its second part.

    colours: 1 to 24, which alternate within each size. Raises ValueError outside. by_size: the colours of a size in
    inches, if it has colours of its own.
    """
    check_within("a number of colours", colours, 1, MOST_COLOURS)
    drawn_m = min(garland.length_m, LONGEST_STRETCH_M)
    total = round(garland.balloons * drawn_m / garland.length_m)
    counts = largest_remainders(total, tuple(count for _, count in garland.counts))
    sizes = sorted(zip((size for size, _ in garland.counts), counts, strict=True), reverse=True)
    listed = ", ".join(f"{count} of {size:g}\u00a0in" for size, count in garland.counts)
    taken = [size for size, count in sizes if count]
    gaps = min(taken) if len(taken) > 1 else 0.0
    looks = {size: (by_size or {}).get(size) or range(colours) for size in taken}
    stretch = f". The drawing shows {drawn_m:g}\u00a0m" if drawn_m < garland.length_m else ""
    return Drawing(
        text=f"Garland of {garland.length_m:g}\u00a0m, {garland.balloons} balloons: {listed}{stretch}.",
        balls=tuple(
            _garland_ball(size, number, count, drawn_m, looks[size][number % len(looks[size])], int(size == gaps))
            for size, count in sizes
            for number in range(count)
        ),
        four=tuple(looks[taken[0]][number % len(looks[taken[0]])] for number in range(FOUR)) if taken else (),
    )


def draw_strung(piece: StrungArch, in_turn: Sequence[int] = (0,)) -> Drawing:
    """Returns the drawing of a strung arch in still air; one that does not rise lies on the ground.

    in_turn: the colours of its balloons along the line, begun again where they end.
    """
    radius, half = piece.diameter_in * CM_PER_INCH / 2, piece.line.span_m * 50
    knots = _line(
        spots(piece.line, tuple((number + 0.5) * piece.spacing_m for number in range(piece.balloons))), piece.rises
    )
    ends = [_weight(side * half) for side in (-1, 1)] if piece.end_weight_g is not None else []
    rope = _line(spots(piece.line, _even_distances(piece.line.length_m)), piece.rises)
    return Drawing(
        text=f"Strung arch of {piece.balloons} helium balloons, {piece.spacing_m:.2f}\u00a0m apart on a line of"
        f" {piece.line.length_m:.2f}\u00a0m. Span {piece.line.span_m:.2f}\u00a0m, {_height_in_words(piece)}.",
        balls=tuple(
            Ball(x, y + radius, radius, in_turn[number % len(in_turn)]) for number, (x, y) in enumerate(knots)
        ),
        paths=(Path(rope, Stroke.LINE), *ends, _ground(half + radius)),
    )


def _height_in_words(piece: StrungArch) -> str:
    """Returns the height of a strung arch and its end weights in words, or that it does not rise."""
    if piece.end_weight_g is None:
        return "it does not rise"
    return f"height {piece.line.height_m:.2f}\u00a0m. Weight at each end: at least {piece.end_weight_g:.0f}\u00a0g"


def _visible_balls(
    fours: tuple[tuple[Centre, ...], ...],
    sizes: list[float] | tuple[float, ...],
    numbers: tuple[tuple[int, ...], ...],
) -> Iterator[Ball]:
    """Yields the balloons that can be seen from the front, the farthest first."""
    visible = [
        (y, Ball(x * CM_PER_INCH, z * CM_PER_INCH, size * CM_PER_INCH / 2, colour_index, part=part))
        for part, (four, size, indexes) in enumerate(zip(fours, sizes, numbers, strict=True))
        for (x, y, z), colour_index in zip(four, indexes, strict=True)
        if y > IN_FRONT
    ]
    return (ball for _, ball in sorted(visible, key=lambda pair: pair[0]))


def _visible_balls_of_four(
    spot: Spot, four: tuple[Centre, ...], diameter_in: float, numbers: tuple[int, ...], part: int
) -> Iterator[tuple[float, Ball]]:
    """Yields the balloons of one four that can be seen from the front, each with how near it is.

    The four lies at a right angle to its line.
    """
    right, up = spot.along[1], -spot.along[0]
    for number in range(FOUR):
        off, depth, _ = (part * CM_PER_INCH for part in four[number])
        if depth > IN_FRONT:
            x, y = spot.x * 100 + right * off, spot.y * 100 + up * off
            yield depth, Ball(x, y, diameter_in * CM_PER_INCH / 2, numbers[number], part=part)


def _garland_ball(size_in: float, number: int, count: int, drawn_m: float, colour_index: int, part: int) -> Ball:
    """Returns one balloon of a garland: evenly spaced along it, and moved up or down by the golden ratio, so that
    no pattern shows."""
    height = 40.0 * ((number * GOLDEN + size_in * GOLDEN) % 1.0 - 0.5)
    x = drawn_m * 100 * (number + 0.5) / count
    return Ball(x, height, size_in * CM_PER_INCH / 2, colour_index, part=part)


def _even_distances(length_m: float) -> tuple[float, ...]:
    """Returns evenly spaced distances in metres along a line of this length, both ends included."""
    return tuple(length_m * step / LINE_SAMPLES for step in range(LINE_SAMPLES + 1))


def _line(places: Iterator[Spot], stands: bool = True) -> tuple[tuple[float, float], ...]:
    """Returns points of a line in cm; with stands False they lie on the ground."""
    return tuple((spot.x * 100, spot.y * 100 if stands else 0.0) for spot in places)


def _ground(half_cm: float) -> Path:
    """Returns the line of the ground, which reaches this many cm to both sides."""
    return Path(((-half_cm, 0.0), (half_cm, 0.0)), Stroke.GROUND)


def _weight(x: float) -> Path:
    """Returns the outline of an end weight at this x, in cm."""
    half = WEIGHT_CM / 2
    corners = ((x - half, 0.0), (x + half, 0.0), (x + half * 0.6, half), (x - half * 0.6, half))
    return Path(corners, Stroke.LINE, closed=True)


def _fours(count: int) -> str:
    return "1 four" if count == 1 else f"{count} fours"


def _colours_in_words(counts: tuple[int, ...], pattern: Pattern) -> str:
    """Returns how many balloons each colour has, in words; empty for one colour."""
    if len(counts) == 1:
        return ""
    how = "in a spiral" if pattern is Pattern.SPIRAL else "in layers"
    return f", {len(counts)} colours {how}: {', '.join(map(str, counts[:-1]))} and {counts[-1]}"
