"""This module puts the steps of each construction in the order in which they are taught at the bench.

The orders are common practice, no source; the numbers are those of the piece.
"""

from collections.abc import Iterable, Sequence

from app.craft.arches import Arch
from app.craft.bouquet import Bouquet, PlacedBalloon, Stacking
from app.craft.clusters import FOUR, PAIRS_IN_A_FOUR, BalloonBase, Column, Pattern
from app.craft.piece_steps import PieceAct, PieceStep
from app.physics.balloon import Gas

WATER_BALLOONS_IN_A_BASE = 2


def bouquet_steps(bouquet: Bouquet) -> tuple[PieceStep, ...]:
    """Returns how a bouquet is put together: from the top down, then all ribbons gathered at one length.

    Each topper comes first on its ribbon, then layer by layer; the balloons of a string are one step. Raises no
    errors.
    """
    in_column = bouquet.build is Stacking.COLUMN
    placed = [_string(bouquet)] if in_column else [_layer(layer, at) for at, layer in enumerate(bouquet.layers)]
    below = (bouquet.defaults.knot_below_cm,)
    return (*placed, PieceStep(PieceAct.GATHER, count=len(bouquet.balloons), cm=below))


def _layer(layer: Sequence[PlacedBalloon], at: int) -> PieceStep:
    """Returns the step of one layer. at: its place from the top, counted from 0."""
    below = PieceAct.LAYER if at else PieceAct.TOP_LAYER
    act = PieceAct.TOPPER if layer[0].piece.topper else below
    return PieceStep(act, count=len(layer), cm=_lengths(layer))


def _string(bouquet: Bouquet) -> PieceStep:
    """Returns the step that ties all balloons of a string to their ribbons."""
    return PieceStep(PieceAct.STRING, count=len(bouquet.balloons), cm=_lengths(bouquet.balloons))


def _lengths(balloons: Iterable[PlacedBalloon]) -> tuple[float, ...]:
    """Returns the lengths of the ribbons in cm, each once, the longest first."""
    return tuple(sorted({float(balloon.ribbon_cm) for balloon in balloons}, reverse=True))


def _fours(count: int) -> tuple[PieceStep, PieceStep]:
    """Returns how so many fours are made: pairs neck to neck, two of them twisted together."""
    return (
        PieceStep(PieceAct.TIE_PAIRS, count=PAIRS_IN_A_FOUR * count),
        PieceStep(PieceAct.TWIST_FOURS, count=count),
    )


def base_steps(base: BalloonBase, curls: int = 0) -> tuple[PieceStep, ...]:
    """Returns how a base is put together: pairs, fours, the second four nestled in, two small balloons of water.

    curls: modelling balloons that fill its gaps, 0 or more. Raises no errors.
    """
    fours = len(base.diameters_in)
    return (
        *_fours(fours),
        *((PieceStep(PieceAct.NEST_FOURS, count=fours - 1),) if fours > 1 else ()),
        PieceStep(PieceAct.WATER_BALLOONS, count=WATER_BALLOONS_IN_A_BASE),
        *((PieceStep(PieceAct.CURLS, count=curls),) if curls else ()),
    )


def column_steps(column: Column, colours: int, pattern: Pattern) -> tuple[PieceStep, ...]:
    """Returns how a column is put together: pairs, fours, and the fours round the pole from the foot up.

    colours: how many it has; the pattern matters from two on. Raises no errors.
    """
    above = column.layers - 1
    return (
        *_fours(column.layers),
        PieceStep(PieceAct.FIRST_FOUR, count=1),
        *((PieceStep(PieceAct.STACK_FOURS, count=above),) if above else ()),
        *_pattern(colours, pattern),
    )


def arch_steps(arch: Arch, colours: int, pattern: Pattern) -> tuple[PieceStep, ...]:
    """Returns how an arch is put together: pairs, fours, the frame held down, the fours along it foot to foot.

    colours: how many it has; the pattern matters from two on. Raises no errors.
    """
    return (
        *_fours(arch.fours),
        PieceStep(PieceAct.FIX_FRAME, cm=(arch.line.length_m * 100,)),
        PieceStep(PieceAct.FRAME_FOURS, count=arch.fours, cm=(arch.pitch_m * 100,)),
        *_pattern(colours, pattern),
    )


def _pattern(colours: int, pattern: Pattern) -> tuple[PieceStep, ...]:
    """Returns the step that keeps the colours in their pattern, if there are several."""
    if colours < 2:
        return ()
    act = PieceAct.FOLLOW_SPIRAL if pattern is Pattern.SPIRAL else PieceAct.FOLLOW_LAYERS
    return (PieceStep(act, count=colours),)


def garland_steps(length_m: float, counts: Iterable[tuple[float, int]]) -> tuple[PieceStep, ...]:
    """Returns how a garland is put together: the larger balloons in fours on the line, the others in the gaps.

    length_m: metres. counts: (nominal size in inches, balloons). The smallest size goes into the gaps, with what
    does not make a whole four; of one size alone, only the rest does. Raises no errors.
    """
    taken = sorted((size, count) for size, count in counts if count)
    total = sum(count for _, count in taken)
    small = taken[0][1] if len(taken) > 1 else 0
    fours = (total - small) // FOUR
    gaps = total - FOUR * fours
    return (
        *((*_fours(fours), PieceStep(PieceAct.THREAD_FOURS, fours, (length_m * 100,))) if fours else ()),
        *((PieceStep(PieceAct.FILL_GAPS, count=gaps),) if gaps else ()),
    )


def strung_steps(balloons: int, line_cm: float, spacing_cm: float) -> tuple[PieceStep, ...]:
    """Returns how a strung arch is put together: one end of the line held down, then balloon after balloon.

    balloons: 1 or more. line_cm: what is cut, in cm. spacing_cm: from knot to knot. Raises no errors.
    """
    return (
        PieceStep(PieceAct.CUT_LINE, count=1, cm=(line_cm,)),
        PieceStep(PieceAct.TIE_TO_LINE, count=balloons, cm=(spacing_cm,)),
    )


def stuffed_steps(gas: Gas, items: Sequence[str] = (), small_balloons: int | None = 0) -> tuple[PieceStep, ...]:
    """Returns how a balloon is stuffed: over the ring, filled in the chamber, largest item first, tied, decorated.

    gas: of the outer balloon; the chamber fills with air, so that helium comes after the stuffing. items: their
    names, the largest first; without any, the step names none. small_balloons: how many go in last, 0 or more;
    None for some that nobody counted. It is never sized. Raises no errors.
    """
    small = () if small_balloons == 0 else (PieceStep(PieceAct.SMALL_BALLOONS, count=small_balloons or 0),)
    named = [PieceStep(PieceAct.PUT_IN, count=1, name=item) for item in items]
    unnamed = [] if named or small else [PieceStep(PieceAct.PUT_IN)]
    return (
        PieceStep(PieceAct.STRETCH_NECK),
        PieceStep(PieceAct.INSIDE_IN),
        PieceStep(PieceAct.FILL_CHAMBER),
        *named,
        *unnamed,
        *small,
        PieceStep(PieceAct.CLOSE_COLLAR),
        *((PieceStep(PieceAct.FILL_STUFFED),) if gas is Gas.HELIUM else ()),
        PieceStep(PieceAct.TIE_RIBBON, count=1),
        PieceStep(PieceAct.DECORATE),
    )


def loose_steps(balloons: int, ribbon_cm: float) -> tuple[PieceStep, ...]:
    """Returns how balloons that are not put together get their ribbons; nothing when there are none with helium.

    balloons: those with helium. ribbon_cm: of each, in cm. Raises no errors.
    """
    return (PieceStep(PieceAct.RIBBON_EACH, count=balloons, cm=(ribbon_cm,)),) if balloons else ()
