"""This module draws a piece step by step: for each step, what is there by then, and what the step adds.

The pictures come from the piece's own drawing: its parts in the order in which they are put together.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from app.craft.drawing import Drawing, Path, Stroke
from app.craft.piece_steps import PieceAct, PieceStep
from app.craft.step_aids import (
    bag_round,
    bow_at,
    collar_at,
    curls_in,
    extras_beside,
    four_from_above,
    neck_on_ring,
    pair_of,
    rail_over,
    ribbon_from,
    shelf_under,
    tag_at,
    turned_inside,
    water_at,
    weight_under,
)

WHOLE = (PieceAct.OWN, PieceAct.FOLLOW_SPIRAL, PieceAct.FOLLOW_LAYERS, PieceAct.FILL_STUFFED)
"""Steps that are about the whole piece as it stands."""
ONE_PART = (
    PieceAct.TOPPER,
    PieceAct.TOP_LAYER,
    PieceAct.LAYER,
    PieceAct.FIRST_FOUR,
    PieceAct.THREAD_FOURS,
    PieceAct.FILL_CHAMBER,
    PieceAct.PUT_IN,
)
"""Steps that add the next part of the piece."""
ALL_PARTS = (
    PieceAct.SMALL_BALLOONS,
    PieceAct.STRING,
    PieceAct.RIBBON_EACH,
    PieceAct.NEST_FOURS,
    PieceAct.STACK_FOURS,
    PieceAct.FRAME_FOURS,
    PieceAct.FILL_GAPS,
    PieceAct.TIE_TO_LINE,
)
"""Steps that add all parts that are still missing."""
STROKES: Mapping[PieceAct, Stroke] = {
    PieceAct.GATHER: Stroke.RIBBON,
    PieceAct.FIX_FRAME: Stroke.POLE,
    PieceAct.CUT_LINE: Stroke.LINE,
}
"""Steps that add a line which is in the drawing of the piece."""
WEIGHTS = (PieceAct.KNOT_WEIGHT, PieceAct.WEIGHT_EACH, PieceAct.WEIGHT_ENDS, PieceAct.ONE_WEIGHT)
DETAILS: Mapping[PieceAct, Callable[[Drawing], Drawing]] = {
    PieceAct.TIE_PAIRS: pair_of,
    PieceAct.TWIST_FOURS: four_from_above,
    PieceAct.STRETCH_NECK: neck_on_ring,
    PieceAct.INSIDE_IN: turned_inside,
}
"""Steps that are drawn by themselves, larger than the piece."""
AIDS: Mapping[PieceAct, Callable[[Drawing, PieceStep], Drawing]] = {
    PieceAct.WATER_BALLOONS: water_at,
    PieceAct.CURLS: curls_in,
    PieceAct.EXTRAS: extras_beside,
    PieceAct.CLOSE_COLLAR: collar_at,
    PieceAct.TIE_RIBBON: ribbon_from,
    PieceAct.DECORATE: bow_at,
    PieceAct.TAG: tag_at,
    PieceAct.BAG: bag_round,
    PieceAct.BAG_ON_RIBBONS: bag_round,
    PieceAct.HOLD_UP: rail_over,
    PieceAct.HOLD_DOWN: shelf_under,
}
"""Steps that add something which is not in the drawing of the piece."""
STAYS = (PieceAct.WATER_BALLOONS, PieceAct.CURLS, PieceAct.EXTRAS, PieceAct.TIE_RIBBON, PieceAct.DECORATE)
"""Of those, what stays in the pictures that follow."""


@dataclass(frozen=True, slots=True)
class StepDrawing:
    """The drawing of one step. there: what is there before it; added: what it adds. is_detail: whether it is drawn
    by itself, at a scale of its own."""

    there: Drawing
    added: Drawing
    is_detail: bool = False

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """The left, bottom, right and top edge of both, in cm."""
        return around([self.there.bounds, self.added.bounds])


def around(bounds: Sequence[tuple[float, float, float, float]]) -> tuple[float, float, float, float]:
    """Returns the edges of the box round all of these that are not empty; all 0 if all are."""
    real = [one for one in bounds if one != (0.0, 0.0, 0.0, 0.0)] or [(0.0, 0.0, 0.0, 0.0)]
    lefts, bottoms, rights, tops = zip(*real, strict=True)
    return min(lefts), min(bottoms), max(rights), max(tops)


@dataclass(slots=True)
class _Built:
    """What is there of a piece. reached: how many of its parts. strokes: which of its lines. more: what was added
    that is not in its drawing. twists_first: whether its first four is there as soon as it is twisted."""

    piece: Drawing
    reached: int = 0
    strokes: set[Stroke] = field(default_factory=lambda: {Stroke.GROUND})
    has_weight: bool = False
    twists_first: bool = False
    more: list[Drawing] = field(default_factory=list)

    @property
    def everything(self) -> int:
        """How many parts the piece has."""
        return 1 + max((ball.part for ball in self.piece.balls), default=0)

    def drawing(self) -> Drawing:
        """Returns what is there."""
        return joined([self._own(), *self.more])

    def _own(self) -> Drawing:
        paths = (path for path in self.piece.paths if self._has(path))
        return Drawing(
            "",
            tuple(ball for ball in self.piece.balls if ball.part < self.reached),
            tuple(paths),
            self.piece.notes if self.has_weight else (),
        )

    def _has(self, path: Path) -> bool:
        if path.is_weight:
            return self.has_weight
        if path.stroke is Stroke.RIBBON:
            return path.part < self.reached
        return path.stroke in self.strokes


def joined(drawings: Sequence[Drawing]) -> Drawing:
    """Returns all of them as one drawing, without words."""
    return Drawing(
        "",
        tuple(ball for one in drawings for ball in one.balls),
        tuple(path for one in drawings for path in one.paths),
        tuple(note for one in drawings for note in one.notes),
    )


def draw_steps(piece: Drawing, steps: Sequence[PieceStep]) -> tuple[StepDrawing, ...]:
    """Returns one drawing for each step. piece: the drawing of the finished piece. Raises no errors."""
    built, acts = _Built(piece), {step.act for step in steps}
    built.twists_first = acts.isdisjoint((*ONE_PART, PieceAct.FRAME_FOURS))
    if acts.isdisjoint((PieceAct.FIX_FRAME, PieceAct.CUT_LINE)):
        built.strokes |= {Stroke.POLE, Stroke.LINE}
    if acts.isdisjoint((*ONE_PART, *ALL_PARTS)):
        built.reached = built.everything
    return tuple(_draw_step(built, step) for step in steps)


def _draw_step(built: _Built, step: PieceStep) -> StepDrawing:
    """Returns the drawing of one step, and adds what it adds to what is there."""
    if detail := DETAILS.get(step.act):
        if step.act is PieceAct.TWIST_FOURS and built.twists_first:
            built.reached = max(built.reached, 1)
        return StepDrawing(Drawing(""), detail(built.piece), is_detail=True)
    there = built.drawing()
    if step.act in WHOLE:
        return StepDrawing(Drawing(""), there)
    added = _added(built, step)
    return StepDrawing(_without(there, added), added)


def _without(there: Drawing, added: Drawing) -> Drawing:
    """Returns what is there without what is drawn again as added."""
    balls, paths = set(added.balls), set(added.paths)
    return replace(
        there,
        balls=tuple(ball for ball in there.balls if ball not in balls),
        paths=tuple(path for path in there.paths if path not in paths),
    )


def _added(built: _Built, step: PieceStep) -> Drawing:
    """Returns what the step adds, and remembers that it is there."""
    if step.act in AIDS:
        return _add_aid(built, step)
    if step.act in WEIGHTS:
        return _add_weight(built, step)
    if step.act in STROKES:
        return _add_stroke(built, STROKES[step.act])
    return _add_parts(built, step)


def _add_aid(built: _Built, step: PieceStep) -> Drawing:
    aid = AIDS[step.act](built.drawing(), step)
    if step.act in STAYS:
        built.more.append(aid)
    return aid


def _add_weight(built: _Built, step: PieceStep) -> Drawing:
    built.has_weight = True
    own = tuple(path for path in built.piece.paths if path.is_weight)
    if own:
        return Drawing("", (), own, built.piece.notes)
    weight = weight_under(built.drawing(), step)
    built.more.append(weight)
    return weight


def _add_stroke(built: _Built, stroke: Stroke) -> Drawing:
    built.strokes.add(stroke)
    return Drawing("", (), tuple(p for p in built.piece.paths if p.stroke is stroke and not p.is_weight))


def _add_parts(built: _Built, step: PieceStep) -> Drawing:
    """Returns the next part of the piece, or all that are missing."""
    before, everything = built.reached, built.everything
    built.reached = everything if step.act in ALL_PARTS else min(before + 1, everything)
    first = before if built.reached > before else before - 1
    balls = tuple(ball for ball in built.piece.balls if first <= ball.part < built.reached)
    ribbons = (path for path in built.piece.paths if path.stroke is Stroke.RIBBON)
    return Drawing("", balls, tuple(path for path in ribbons if first <= path.part < built.reached))
