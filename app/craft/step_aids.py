"""This module draws what a step of building needs beside the piece itself: a pair, a four, a tag, a bag, a rail.

All of it is in cm, in the drawing of the piece; what is drawn by itself has sizes of its own.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

from app.craft.drawing import Ball, Drawing, Path, Stroke
from app.craft.piece_steps import PieceAct, PieceStep

DETAIL_CM = 10.0
"""The radius of a balloon in a drawing of its own."""
MOST_BESIDE = 6
MOST_LOOSE = 7
RIBBON_CM = 90.0
WEIGHT_CM = (6.0, 4.0, 8.0)
"""Half the width of a drawn weight at its foot, half its width at its top, and its height."""
MARGIN_CM = 4.0


def pair_of(piece: Drawing) -> Drawing:
    """Returns two balloons tied neck to neck, in the colours of the first four."""
    one, _, other, _ = piece.four or (0, 0, 0, 0)
    gap = DETAIL_CM * 1.2
    balls = (Ball(-gap, 0.0, DETAIL_CM, one), Ball(gap, 0.0, DETAIL_CM, other))
    return Drawing("", balls, (_aid((-gap / 3, 0.0), (gap / 3, 0.0)),))


def four_from_above(piece: Drawing) -> Drawing:
    """Returns the first four from above: two pairs twisted together."""
    out = DETAIL_CM * math.sqrt(2)
    balls = (
        Ball(out * math.cos(turn), out * math.sin(turn), DETAIL_CM, colour)
        for turn, colour in zip(_turns(4), piece.four or (0, 0, 0, 0), strict=True)
    )
    return Drawing("", tuple(balls))


def neck_on_ring(piece: Drawing) -> Drawing:
    """Returns a balloon without air in it whose neck is stretched over a ring."""
    ring = Path(_circle(0.0, DETAIL_CM, DETAIL_CM), Stroke.AID, closed=True)
    down = -DETAIL_CM * 1.2
    sides = tuple(_aid((side * DETAIL_CM, DETAIL_CM), (side * DETAIL_CM / 3, down)) for side in (-1, 1))
    return Drawing("", (_first(piece, 0.0, down, DETAIL_CM / 2),), (ring, *sides))


def turned_inside(piece: Drawing) -> Drawing:
    """Returns a balloon with an arrow round it."""
    points = _circle(0.0, 0.0, DETAIL_CM * 1.5)[: -len(_turns()) // 4]
    x, y = points[-1]
    head = _aid((x - 4.0, y + 3.0), (x, y), (x + 4.0, y + 3.5))
    return Drawing("", (_first(piece, 0.0, 0.0, DETAIL_CM),), (_aid(*points), head))


def water_at(there: Drawing, step: PieceStep) -> Drawing:
    """Returns the small balloons with water, at the foot of the piece."""
    radius = _radius(there) / 2
    middle = (step.count - 1) / 2
    balls = (Ball((place - middle) * 2 * radius, radius, radius, None) for place in range(step.count))
    return Drawing("", tuple(balls))


def curls_in(there: Drawing, step: PieceStep) -> Drawing:
    """Returns curls in the gaps, all round the piece."""
    left, bottom, right, top = there.bounds
    size, x, y = _radius(there) / 2, (left + right) / 2, (bottom + top) / 2
    curls = (
        _aid(*_spiral(x + math.cos(turn) * (right - left) / 3, y + math.sin(turn) * (top - bottom) / 3, size))
        for turn in _turns(min(step.count, MOST_BESIDE))
    )
    return Drawing("", (), tuple(curls))


def extras_beside(there: Drawing, step: PieceStep) -> Drawing:
    """Returns balloons that are not part of the construction, one above another beside it."""
    _, bottom, right, _ = there.bounds
    radius = step.cm[0] / 2 if step.cm else _radius(there)
    x = right + radius + MARGIN_CM
    colours: Sequence[int | None] = step.colours or (None,) * step.count
    balls = (
        Ball(x, bottom + radius * (2 * place + 1), radius, colour)
        for place, colour in enumerate(colours[:MOST_BESIDE])
    )
    return Drawing("", tuple(balls))


def collar_at(there: Drawing, step: PieceStep) -> Drawing:
    """Returns the closed collar round the neck."""
    foot, radius = _foot(there), _radius(there)
    wide, tall = radius / 2, radius / 6
    corners = ((-wide, foot), (wide, foot), (wide, foot + tall), (-wide, foot + tall))
    return Drawing("", (), (Path(corners, Stroke.AID, closed=True),))


def ribbon_from(there: Drawing, step: PieceStep) -> Drawing:
    """Returns a ribbon that hangs from the neck."""
    foot, radius = _foot(there), _radius(there)
    points = tuple((math.sin(turn) * radius / 10, foot - radius * turn / 4) for turn in _turns())
    return Drawing("", (), (Path(points, Stroke.RIBBON),))


def bow_at(there: Drawing, step: PieceStep) -> Drawing:
    """Returns a bow at the neck."""
    foot, radius = _neck(there), _radius(there)
    wide, tall = radius / 2, radius / 5
    loops = (
        Path(((0.0, foot), (side * wide, foot + tall), (side * wide, foot - tall)), Stroke.AID, closed=True)
        for side in (-1, 1)
    )
    return Drawing("", (), tuple(loops))


def tag_at(there: Drawing, step: PieceStep) -> Drawing:
    """Returns a tag on a string, beside the ribbons or the side of the piece."""
    _, bottom, right, top = there.bounds
    has_ribbons = any(path.stroke is Stroke.RIBBON for path in there.paths)
    x, y = (0.0, bottom + (top - bottom) * 0.3) if has_ribbons else (right * 0.8, bottom + (top - bottom) / 4)
    size = max((top - bottom) / 18, 5.0)
    end = x + 1.5 * size
    low = y - 2.5 * size
    corners = ((end, y), (end + size, y - size), (end + size, low), (end - size, low), (end - size, y - size))
    return Drawing("", (), (_aid((x, y), (end, y)), Path(corners, Stroke.AID, closed=True)))


def bag_round(there: Drawing, step: PieceStep) -> Drawing:
    """Returns a bag over the balloons; ribbons come out of it at the bottom."""
    box = Drawing("", there.balls).bounds if there.balls else there.bounds
    left, bottom, right, top = box
    out = MARGIN_CM + (right - left) / 12
    middle, narrow = (left + right) / 2, (right - left) / 6
    corners = (
        (middle - narrow, bottom - out),
        (left - out, bottom),
        (left - out, top),
        (left, top + out),
        (right, top + out),
        (right + out, top),
        (right + out, bottom),
        (middle + narrow, bottom - out),
    )
    return Drawing("", (), (Path(corners, Stroke.AID, closed=True),))


def rail_over(there: Drawing, step: PieceStep) -> Drawing:
    """Returns a rail over the piece, under which it waits."""
    left, _, right, top = there.bounds
    over, wide = top + MARGIN_CM, max((right - left) / 10, 2 * MARGIN_CM)
    hooks = (_aid((x, over), (x, over + 2 * MARGIN_CM)) for x in (left - wide / 2, right + wide / 2))
    return Drawing("", (), (_aid((left - wide, over), (right + wide, over)), *hooks))


def shelf_under(there: Drawing, step: PieceStep) -> Drawing:
    """Returns a shelf on which the piece stands."""
    left, bottom, right, _ = there.bounds
    wide = max((right - left) / 20, MARGIN_CM)
    legs = (_aid((x, bottom), (x, bottom - 3 * MARGIN_CM)) for x in (left, right))
    return Drawing("", (), (_aid((left - wide, bottom), (right + wide, bottom)), *legs))


def weight_under(there: Drawing, step: PieceStep) -> Drawing:
    """Returns one weight under the piece, or one at the end of each ribbon."""
    ends = sorted({path.points[-1] for path in there.paths if path.stroke is Stroke.RIBBON})
    if step.act is PieceAct.WEIGHT_EACH and ends:
        return Drawing("", (), tuple(_weight(x, y) for x, y in ends))
    foot = there.bounds[1]
    strings = (_aid((x, y), (0.0, foot - RIBBON_CM / 4)) for x, y in ends if len(ends) > 1)
    return Drawing("", (), (*strings, _weight(0.0, foot - (RIBBON_CM / 4 if len(ends) > 1 else 0.0))))


def draw_loose(balloons: Sequence[Ball], *, on_ribbons: bool) -> Drawing:
    """Returns balloons that are not put together: each by itself, on its own ribbon if they have ribbons.

    balloons: with their radius and colour; where they stand is found here. Of many, some stand for all.
    """
    drawn = list(balloons)[:MOST_LOOSE]
    rise = RIBBON_CM if on_ribbons else 0.0
    placed = tuple(_side_by_side(drawn, rise))
    ribbons = (Path(((ball.x, ball.y - ball.radius), (ball.x, 0.0)), Stroke.RIBBON) for ball in placed)
    return Drawing("", placed, tuple(ribbons) if on_ribbons else ())


def _side_by_side(balls: Sequence[Ball], rise: float) -> Iterator[Ball]:
    x = -sum(ball.radius for ball in balls)
    for ball in balls:
        yield Ball(x + ball.radius, rise + ball.radius, ball.radius, ball.colour_index, ball.film_index)
        x += 2 * ball.radius


def _first(piece: Drawing, x: float, y: float, radius: float) -> Ball:
    """Returns a balloon that looks like the first of the piece."""
    return replace(piece.balls[0], x=x, y=y, radius=radius) if piece.balls else Ball(x, y, radius, None)


def _weight(x: float, top: float) -> Path:
    foot, head, tall = WEIGHT_CM
    corners = ((x - foot, top - tall), (x + foot, top - tall), (x + head, top), (x - head, top))
    return Path(corners, Stroke.LINE, closed=True)


def _aid(*points: tuple[float, float]) -> Path:
    return Path(points, Stroke.AID)


def _turns(count: int = 24) -> list[float]:
    """Returns this many angles round a circle, in radians."""
    return [2 * math.pi * place / count for place in range(count)]


def _circle(x: float, y: float, radius: float) -> tuple[tuple[float, float], ...]:
    return tuple((x + radius * math.cos(turn), y + radius * math.sin(turn)) for turn in _turns())


def _spiral(x: float, y: float, radius: float) -> Iterator[tuple[float, float]]:
    """Yields the points of a curl, from its middle outwards in two rounds."""
    for place in range(25):
        turn, out = 4 * math.pi * place / 24, radius * place / 24
        yield x + out * math.cos(turn), y + out * math.sin(turn)


def _radius(there: Drawing) -> float:
    """Returns the radius of its largest balloon, in cm."""
    return max((ball.radius for ball in there.balls), default=DETAIL_CM)


def _foot(there: Drawing) -> float:
    return there.bounds[1]


def _neck(there: Drawing) -> float:
    """Returns the height of the lowest point of its balloons."""
    return min((ball.y - ball.radius for ball in there.balls), default=0.0)
