"""This module words how a piece is built, from its filled balloons to the holding area: a sentence or two for each
act."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum

from app.craft.piece_steps import PieceAct, PieceStep
from app.web.formats import Formats

Words = Callable[[PieceStep, Formats], str]


@dataclass(frozen=True, slots=True)
class NumberedStep:
    """A numbered step of a ticket or a build sheet. count, grams: as in the step, 0 where it has none."""

    act: StrEnum
    text: str
    count: int = 0
    grams: int = 0


def show_steps(steps: Iterable[PieceStep], formats: Formats) -> tuple[NumberedStep, ...]:
    """Returns the steps of a piece as pages show them, in their order."""
    return tuple(
        NumberedStep(step.act, PIECE_WORDS[step.act](step, formats), step.count, step.grams) for step in steps
    )


def _said(text: str) -> Words:
    """Returns the words of an act that needs no numbers."""
    return lambda step, formats: text


def _counted(count: int, one: str, many: str = "") -> str:
    """Returns “1 pair” or “2 pairs”. many: the plural, if it is not formed with an s."""
    return f"1 {one}" if count == 1 else f"{count} {many or f'{one}s'}"


def _ribbons(step: PieceStep, formats: Formats) -> str:
    """Returns the lengths of the ribbons: “a ribbon of 1.68 m” or “ribbons of 1.34 m and 1.31 m”."""
    lengths = [formats.length(cm) for cm in dict.fromkeys(step.cm)]
    *first, last = lengths
    listed = f"{', '.join(first)} and {last}" if first else last
    return f"a ribbon of {listed}" if step.count == 1 else f"ribbons of {listed}"


def _topper(step: PieceStep, formats: Formats) -> str:
    return f"Take the balloon for the top and tie it to {_ribbons(step, formats)}."


def _top_layer(step: PieceStep, formats: Formats) -> str:
    return f"Take {_counted(step.count, 'balloon')} for the top layer, on {_ribbons(step, formats)}. {LEVEL}"


def _layer(step: PieceStep, formats: Formats) -> str:
    return f"Add {_counted(step.count, 'balloon')} below, on {_ribbons(step, formats)}. {LEVEL}"


LEVEL = "Hold the necks level where the balloons begin to press on one another, and tie."


def _string(step: PieceStep, formats: Formats) -> str:
    if step.count == 1:
        return f"Tie the balloon to {_ribbons(step, formats)}."
    longest, shortest = formats.length(max(step.cm)), formats.length(min(step.cm))
    return (
        f"Tie each of the {step.count} balloons to its own ribbon, from {longest} for the top one down to"
        f" {shortest}, as in the list of ribbons."
    )


def _gather(step: PieceStep, formats: Formats) -> str:
    below = formats.length(step.cm[0])
    if step.count == 1:
        return f"Hold the ribbon {below} below the neck."
    return f"Gather all {step.count} ribbons at one length: {below} below the lowest neck."


def _ribbon_each(step: PieceStep, formats: Formats) -> str:
    if step.count == 1:
        return f"Tie {_ribbons(step, formats)} to the balloon."
    return f"Tie a ribbon of {formats.length(step.cm[0])} to each of the {step.count} balloons."


def _curls(step: PieceStep, formats: Formats) -> str:
    return (
        f"Fill {_counted(step.count, 'modelling balloon')} once, let the air out, coil flat over two fingers and"
        " fill again. Put the curls into the gaps."
    )


def _nest(step: PieceStep, formats: Formats) -> str:
    which = "the next four" if step.count == 1 else f"the next {step.count} fours"
    return f"Nestle {which} into the gaps of the first."


def _stack(step: PieceStep, formats: Formats) -> str:
    which = "the other four" if step.count == 1 else f"the other {step.count} fours, one by one"
    return f"Press {which} onto the one below, each turned by an eighth so that it sits in the gaps."


def _fix_frame(step: PieceStep, formats: Formats) -> str:
    return (
        f"Stand up the frame of {formats.length(step.cm[0])} and hold down both feet, so that it can't fall on"
        " anybody."
    )


def _frame_fours(step: PieceStep, formats: Formats) -> str:
    return (
        f"Press {_counted(step.count, 'four')} onto the frame from one foot to the other, one every"
        f" {formats.length(step.cm[0])}, each turned by an eighth."
    )


def _thread(step: PieceStep, formats: Formats) -> str:
    return (
        f"Tie {_counted(step.count, 'four')} to a line of {formats.length(step.cm[0])}, from one end to the other,"
        " with no gaps along the line."
    )


def _cut_line(step: PieceStep, formats: Formats) -> str:
    return f"Cut the line to {formats.length(step.cm[0])} and hold down one end, because the balloons pull it up."


def _tie_to_line(step: PieceStep, formats: Formats) -> str:
    every = formats.length(step.cm[0])
    return (
        f"Tie {_counted(step.count, 'balloon')} to the line, one every {every}. The first and the last are half of"
        " that from the end."
    )


def _put_in(step: PieceStep, formats: Formats) -> str:
    return f"Put in the {step.name}." if step.name else "Put in the largest item first, small balloons last."


def _small_balloons(step: PieceStep, formats: Formats) -> str:
    which = _counted(step.count, "small filled balloon") if step.count else "the small filled balloons"
    return f"Put in {which} last."


def _extras(step: PieceStep, formats: Formats) -> str:
    return f"Add {step.count} × {step.name} to the piece."


def _weight(step: PieceStep, formats: Formats) -> str:
    """Returns the weight: “1 × Weight 170 g, at least 132 g”."""
    least = f"at least {formats.grams(step.grams)}" if step.grams else ""
    return ", ".join(part for part in (step.name, least) if part)


def _knot_weight(step: PieceStep, formats: Formats) -> str:
    told = _weight(step, formats)
    return f"Make one knot, with one weight for the whole piece{f': {told}' if told else ''}."


def _weight_each(step: PieceStep, formats: Formats) -> str:
    told = _weight(step, formats)
    which = "the ribbon" if step.count == 1 else f"each of the {step.count} ribbons"
    return f"Tie a weight to {which}{f': {told}' if told else ''}."


def _weight_ends(step: PieceStep, formats: Formats) -> str:
    least = f"at least {formats.grams(step.grams)} at each end" if step.grams else ""
    told = ", ".join(part for part in (step.name, least) if part)
    return f"Tie each end of the line to its weight before you let go: {told}."


def _one_weight(step: PieceStep, formats: Formats) -> str:
    return f"Tie one weight to the piece: {_weight(step, formats)}."


def _bag(step: PieceStep, formats: Formats) -> str:
    return _into_bag(step, "Let the air out of the bag and close it loosely, so that it doesn't rub in a car.")


def _bag_on_ribbons(step: PieceStep, formats: Formats) -> str:
    out = "Leave the ribbons out at the bottom, let the air out of the bag"
    return _into_bag(step, f"{out} and close it loosely, so that it doesn't rub in a car.")


def _into_bag(step: PieceStep, closing: str) -> str:
    bag = f"a bag ({step.name}{f', {step.count} per bag' if step.count > 1 else ''})" if step.name else "a bag"
    return f"Pull {bag} over from above. {closing}"


PIECE_WORDS: Mapping[PieceAct, Words] = {
    PieceAct.TOPPER: _topper,
    PieceAct.TOP_LAYER: _top_layer,
    PieceAct.LAYER: _layer,
    PieceAct.STRING: _string,
    PieceAct.GATHER: _gather,
    PieceAct.RIBBON_EACH: _ribbon_each,
    PieceAct.TIE_PAIRS: lambda step, formats: (
        f"Tie {_counted(step.count, 'pair')}, neck to neck, of two balloons of equal size."
    ),
    PieceAct.TWIST_FOURS: lambda step, formats: (
        f"Twist two pairs together into a four. Make {_counted(step.count, 'four')}."
    ),
    PieceAct.NEST_FOURS: _nest,
    PieceAct.WATER_BALLOONS: lambda step, formats: (
        f"Tie in {_counted(step.count, 'small balloon')} filled with water as weight. Old latex will do for these."
    ),
    PieceAct.CURLS: _curls,
    PieceAct.FIRST_FOUR: _said("Press the first four round the pole, down to its foot."),
    PieceAct.STACK_FOURS: _stack,
    PieceAct.FIX_FRAME: _fix_frame,
    PieceAct.FRAME_FOURS: _frame_fours,
    PieceAct.FOLLOW_SPIRAL: _said("Lay each colour against the same colour below, always turning the same way."),
    PieceAct.FOLLOW_LAYERS: _said("Change the colour from four to four, as in the picture."),
    PieceAct.THREAD_FOURS: _thread,
    PieceAct.FILL_GAPS: lambda step, formats: f"Fill the gaps with the other {_counted(step.count, 'balloon')}.",
    PieceAct.CUT_LINE: _cut_line,
    PieceAct.TIE_TO_LINE: _tie_to_line,
    PieceAct.STRETCH_NECK: _said("Stretch the neck over the ring of the stuffing machine."),
    PieceAct.INSIDE_IN: _said("Turn the balloon so that its inside faces in."),
    PieceAct.FILL_CHAMBER: _said("Let the chamber fill it to full size. It stops by itself."),
    PieceAct.PUT_IN: _put_in,
    PieceAct.SMALL_BALLOONS: _small_balloons,
    PieceAct.CLOSE_COLLAR: _said("Let the collar close."),
    PieceAct.FILL_STUFFED: _said("Let the air out through the neck and fill it with helium instead. Use no sizer."),
    PieceAct.TIE_RIBBON: _said("Tie the neck with a ribbon."),
    PieceAct.DECORATE: _said("Decorate it."),
    PieceAct.EXTRAS: _extras,
    PieceAct.OWN: lambda step, formats: formats.in_shop_units(step.name),
    PieceAct.KNOT_WEIGHT: _knot_weight,
    PieceAct.WEIGHT_EACH: _weight_each,
    PieceAct.WEIGHT_ENDS: _weight_ends,
    PieceAct.ONE_WEIGHT: _one_weight,
    PieceAct.TAG: _said("Put a tag on: order, customer, ready by, place."),
    PieceAct.BAG_ON_RIBBONS: _bag_on_ribbons,
    PieceAct.BAG: _bag,
    PieceAct.HOLD_UP: _said("Hang it in the holding area under a net, line or rail, never against a ceiling."),
    PieceAct.HOLD_DOWN: _said("Put it in the holding area, away from sun and sharp edges."),
}
