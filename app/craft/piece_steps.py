"""This module has the steps in which filled balloons become a piece: each is an act with the numbers it needs.

`assembly.py` puts the steps of each construction in their order.
"""

from dataclasses import dataclass
from enum import StrEnum


class PieceAct(StrEnum):
    """What is done to build a piece, from the filled balloons to the holding area.

    LAYER, STRING: balloons of a bouquet, from the top down. KNOT_WEIGHT: one knot, one weight for the whole piece.
    WEIGHT_EACH: for loose balloons sold singly. ONE_WEIGHT: for a piece without ribbons that meet. HOLD_UP: where
    helium waits; HOLD_DOWN: where air waits. OWN: a step that the shop wrote.
    """

    TOPPER = "topper"
    TOP_LAYER = "top layer"
    LAYER = "layer"
    STRING = "string"
    RIBBON_EACH = "ribbon each"
    GATHER = "gather"
    TIE_PAIRS = "tie pairs"
    TWIST_FOURS = "twist fours"
    NEST_FOURS = "nest fours"
    WATER_BALLOONS = "water balloons"
    CURLS = "curls"
    FIRST_FOUR = "first four"
    STACK_FOURS = "stack fours"
    FIX_FRAME = "fix frame"
    FRAME_FOURS = "frame fours"
    FOLLOW_SPIRAL = "follow spiral"
    FOLLOW_LAYERS = "follow layers"
    THREAD_FOURS = "thread fours"
    FILL_GAPS = "fill gaps"
    CUT_LINE = "cut line"
    TIE_TO_LINE = "tie to line"
    STRETCH_NECK = "stretch neck"
    INSIDE_IN = "inside in"
    FILL_CHAMBER = "fill chamber"
    PUT_IN = "put in"
    SMALL_BALLOONS = "small balloons"
    CLOSE_COLLAR = "close collar"
    FILL_STUFFED = "fill stuffed"
    TIE_RIBBON = "tie ribbon"
    DECORATE = "decorate"
    EXTRAS = "extras"
    OWN = "own"
    KNOT_WEIGHT = "knot and weight"
    WEIGHT_EACH = "weight each"
    WEIGHT_ENDS = "weight ends"
    ONE_WEIGHT = "one weight"
    TAG = "tag"
    BAG_ON_RIBBONS = "bag on ribbons"
    BAG = "bag"
    HOLD_UP = "hold up"
    HOLD_DOWN = "hold down"


@dataclass(frozen=True, slots=True)
class PieceStep:
    """A step of building one piece.

    count: how many balloons, ribbons, pairs, fours, weights, or pieces in a bag the act is about; 0 when it counts
    nothing. cm: lengths in centimetres, the longest first: of ribbons, or the one distance or length of the act.
    grams: the least weight, 0 when any will do. name: of what is used, empty when it has none; for OWN, its
    sentence. colours: of the balloons, by their place among the colours of the piece.
    """

    act: PieceAct
    count: int = 0
    cm: tuple[float, ...] = ()
    grams: int = 0
    name: str = ""
    colours: tuple[int, ...] = ()


def closing_steps(*, on_ribbons: bool, rises: bool, bag: str | None, in_each: int) -> tuple[PieceStep, ...]:
    """Returns how a finished piece is tagged, bagged and put away, in order. Raises no errors.

    on_ribbons: whether it hangs on ribbons, which come out of the bag at the bottom. rises: whether it has helium.
    bag: the name of its bag, empty when any will do; None when it is not bagged. in_each: pieces in one bag, 0 when
    that is not known. Common practice, no source.
    """
    act = PieceAct.BAG_ON_RIBBONS if on_ribbons else PieceAct.BAG
    return (
        PieceStep(PieceAct.TAG),
        *((PieceStep(act, count=in_each, name=bag),) if bag is not None else ()),
        PieceStep(PieceAct.HOLD_UP if rises else PieceAct.HOLD_DOWN),
    )
