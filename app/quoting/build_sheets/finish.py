"""From the built piece to the holding area: the shop's own steps, the weight, tag, bag and place to wait."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from app.craft.assembly import loose_steps, stuffed_steps
from app.craft.bagging import Bagging
from app.craft.build import Construction
from app.craft.piece import CM_PER_INCH
from app.craft.piece_steps import PieceAct, PieceStep, closing_steps
from app.physics.balloon import Gas
from app.quoting.build_sheets.bouquets import WITH_OWN_RIBBONS, in_turn
from app.quoting.build_sheets.input import BalloonGroup, BuildInput, BuildPlace
from app.quoting.build_sheets.sheet import RequiredWeight
from app.quoting.build_sheets.weights import ChosenWeight, is_enough

BAGGED = (*WITH_OWN_RIBBONS, Construction.BASE, Construction.STUFFED, Construction.LOOSE)


def own_steps(sentences: Sequence[str]) -> tuple[PieceStep, ...]:
    """Returns the steps that the shop wrote."""
    return tuple(PieceStep(PieceAct.OWN, name=sentence) for sentence in sentences)


def extra_steps(extra: Sequence[BalloonGroup], names: Sequence[str]) -> Iterator[PieceStep]:
    """Yields a step for the balloons that are not part of the construction, one for each group. names: of all
    colours of the piece."""
    for group in extra:
        yield PieceStep(
            PieceAct.EXTRAS,
            count=group.count,
            cm=(group.size_in * CM_PER_INCH,),
            name=group.filling.balloon_type.name,
            colours=tuple(names.index(name) for name in in_turn(group.colours)),
        )


def weight_steps(
    build_input: BuildInput, required_weight: RequiredWeight | None, chosen: ChosenWeight | None
) -> tuple[PieceStep, ...]:
    """Returns the one step that weighs the piece down; nothing if no helium is in it.

    A strung arch has a weight at each end; every other piece has one for all. Only if nothing is put together and
    its recipe has a weight for each balloon, each has its own. The least weight is said only if none is chosen that
    is enough.
    """
    if required_weight is None:
        return ()
    name = chosen.name if chosen else ""
    grams, construction = required_weight.at_venue_g, build_input.build.construction
    if is_enough(required_weight, chosen):
        grams = 0
    if required_weight.each_end:
        return (PieceStep(PieceAct.WEIGHT_ENDS, count=2, grams=grams, name=name),)
    rising = sum(group.count for group in build_input.balloons if group.rises)
    if construction is Construction.LOOSE and chosen and 1 < rising <= chosen.units:
        return (PieceStep(PieceAct.WEIGHT_EACH, count=rising, name=name),)
    meets = construction in (*WITH_OWN_RIBBONS, Construction.LOOSE)
    return (PieceStep(PieceAct.KNOT_WEIGHT if meets else PieceAct.ONE_WEIGHT, count=1, grams=grams, name=name),)


def putting_away(
    build_input: BuildInput, build_place: BuildPlace, bagging: Bagging | None, *, fits_no_bag: bool
) -> tuple[PieceStep, ...]:
    """Returns how the piece is tagged, bagged and put away; nothing if it is built where it stays.

    fits_no_bag: whether it is too large for every bag of the shop. If bagging is None otherwise, any bag will do.
    """
    if build_place.is_built_there:
        return ()
    construction, rises = build_input.build.construction, any(group.rises for group in build_input.balloons)
    return closing_steps(
        on_ribbons=rises and construction in (*WITH_OWN_RIBBONS, Construction.LOOSE),
        rises=rises,
        bag=None if fits_no_bag or construction not in BAGGED else bagging.bag.name if bagging else "",
        in_each=max(bagging.pieces_by_bag) if bagging else 0,
    )


@dataclass(frozen=True, slots=True)
class SoldSingly:
    """Loose balloons that are sold singly. ribbon_cm: of each with helium. weight_g: the least weight of each
    outdoors, in grams; 0 when any will do. is_stuffed: whether the stuffing machine fills them."""

    balloons: int
    gas: Gas
    ribbon_cm: float
    weight_g: int
    is_stuffed: bool
    is_built_there: bool


def single_steps(singles: SoldSingly) -> tuple[PieceStep, ...]:
    """Returns the steps of loose balloons: each has its own ribbon, and its own weight if it has helium."""
    rises = singles.gas is Gas.HELIUM
    rising = singles.balloons if rises else 0
    weight = PieceStep(PieceAct.WEIGHT_EACH, count=rising, grams=singles.weight_g)
    close = closing_steps(on_ribbons=rises, rises=rises, bag="", in_each=0)
    return (
        *(stuffed_steps(singles.gas) if singles.is_stuffed else ()),
        *loose_steps(rising, singles.ribbon_cm),
        *((weight,) if rises else ()),
        *(() if singles.is_built_there else close),
    )
