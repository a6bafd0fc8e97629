"""This module shows how a piece is put together, for the ticket, the order page and the build calculator."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from app.craft.bagging import Bagging
from app.craft.drawing import Drawing
from app.craft.piece_steps import PieceStep
from app.craft.step_drawings import draw_steps
from app.quoting.build_sheets.line_sheet import LineSheet
from app.quoting.build_sheets.sheet import Fact, Measure, RequiredWeight
from app.quoting.build_sheets.weights import ChosenWeight, Water, is_enough
from app.web.drawings.balloon_looks import BalloonLook, PieceColours
from app.web.drawings.picture import Picture, picture_of, step_pictures
from app.web.formats import LONG_CM, Formats
from app.web.wording.piece_steps import NumberedStep, show_steps

AT_EACH_END = " at each end"


@dataclass(frozen=True, slots=True)
class ShownCut:
    """A ribbon of one length: how many for one piece, and for all."""

    length: str
    of_one: int
    of_all: int


@dataclass(frozen=True, slots=True)
class ShownStep:
    """A step with its picture, which shows what the step adds; None if the piece can't be drawn."""

    step: NumberedStep
    picture: Picture | None


@dataclass(frozen=True, slots=True)
class ShownSheet:
    """A build sheet as the pages show it.

    key: the name and the look of each colour in the picture. facts: (label, text). cut_total: metres for one piece,
    and for all.
    """

    title: str
    quantity: int
    picture: Picture | None
    key: tuple[tuple[str, BalloonLook], ...]
    facts: tuple[tuple[str, str], ...]
    cut_of: str
    cuts: tuple[ShownCut, ...]
    cut_total: tuple[str, str]
    cautions: tuple[str, ...]
    steps: tuple[ShownStep, ...]


def show_sheet(sheet: LineSheet, formats: Formats) -> ShownSheet:
    """Returns a build sheet as the pages show it. If one of its lengths is in metres, all are."""
    formats = replace(formats, in_metres=any(cm >= LONG_CM for cm in _lengths_cm(sheet)))
    colours = PieceColours(sheet.colours, sheet.films)
    picture = _in_shop_units(picture_of(sheet.drawing, colours), formats) if sheet.drawing else None
    return ShownSheet(
        title=sheet.title,
        quantity=sheet.quantity,
        picture=picture,
        key=_key(colours, picture),
        facts=tuple(_facts(sheet, formats)),
        cut_of=sheet.cut_of,
        cuts=tuple(
            ShownCut(formats.length(cut.length_cm), cut.count, cut.count * sheet.quantity) for cut in sheet.cuts
        ),
        cut_total=(formats.length(sheet.cut_m * 100), formats.length(sheet.cut_m * sheet.quantity * 100)),
        cautions=tuple(formats.in_shop_units(caution) for caution in sheet.cautions),
        steps=_show_steps(sheet, colours, formats),
    )


def _lengths_cm(sheet: LineSheet) -> Iterator[float]:
    """Yields the lengths that a sheet says."""
    yield sheet.cut_m * sheet.quantity * 100
    yield from (cut.length_cm for cut in sheet.cuts)
    yield from (cm for step in sheet.steps for cm in step.cm)
    for fact in sheet.facts:
        if not isinstance(fact.value, str):
            yield fact.value * 100 if fact.measure is Measure.M else fact.value


def _in_shop_units(picture: Picture, formats: Formats) -> Picture:
    """Returns the picture with its texts in the shop's units."""
    words = tuple(replace(one, text=formats.in_shop_units(one.text)) for one in picture.words)
    return replace(picture, words=words, text=formats.in_shop_units(picture.text))


def _key(colours: PieceColours, picture: Picture | None) -> tuple[tuple[str, BalloonLook], ...]:
    """Returns the name and the look of each colour that is in the picture."""
    drawn = {circle.look for circle in picture.circles} if picture else set()
    return tuple((name, look) for name, look in colours.looks() if look in drawn)


def _show_steps(sheet: LineSheet, colours: PieceColours, formats: Formats) -> tuple[ShownStep, ...]:
    """Returns the steps, each with its picture if the piece can be drawn."""
    drawing = sheet.drawing or sheet.loose
    if drawing is None:
        return tuple(ShownStep(step, None) for step in show_steps(sheet.steps, formats))
    return picture_steps(drawing, sheet.steps, colours, formats)


def picture_steps(
    drawing: Drawing, steps: Sequence[PieceStep], colours: PieceColours, formats: Formats
) -> tuple[ShownStep, ...]:
    """Returns the steps of a piece with their pictures. drawing: of the finished piece."""
    told = show_steps(steps, formats)
    pictures = step_pictures(draw_steps(drawing, steps), colours)
    return tuple(ShownStep(step, picture) for step, picture in zip(told, pictures, strict=True))


def _facts(sheet: LineSheet, formats: Formats) -> Iterator[tuple[str, str]]:
    for fact in sheet.facts:
        yield formats.in_shop_units(fact.label), _described(fact, formats)
    if sheet.lift_g is not None:
        yield "Net lift", formats.weighed(sheet.lift_g)
    if sheet.required_weight:
        yield from _weights(
            sheet.required_weight, formats, is_chosen=is_enough(sheet.required_weight, sheet.chosen)
        )
    if sheet.chosen and sheet.required_weight:
        yield "Chosen weight", _chosen(sheet.chosen, formats)
    if sheet.water:
        yield "Or water balloon", _water(sheet.water, formats)
    if sheet.bagging:
        yield "Bags", _bags(sheet.bagging)


def _described(fact: Fact, formats: Formats) -> str:
    if isinstance(fact.value, str):
        return formats.in_shop_units(fact.value)
    return formats.length(fact.value * 100 if fact.measure is Measure.M else fact.value)


def _weights(required_weight: RequiredWeight, formats: Formats, *, is_chosen: bool) -> Iterator[tuple[str, str]]:
    """Yields the least weights. is_chosen: whether a weight is chosen that is enough where the piece goes; then
    that one is said instead of the least indoors."""
    ends = AT_EACH_END if required_weight.each_end else ""
    if not is_chosen:
        yield f"Weight indoors{ends}", f"at least {formats.grams(required_weight.indoors_g)}"
    outdoors, wind = formats.grams(required_weight.outdoors_g), formats.wind(required_weight.wind_m_s)
    yield f"Weight outdoors{ends}", f"at least {outdoors} in {wind} wind"


def _chosen(chosen: ChosenWeight, formats: Formats) -> str:
    return f"{chosen.name}, {formats.weighed(chosen.grams)}" if chosen.grams is not None else chosen.name


def _water(water: Water, formats: Formats) -> str:
    size, weight = formats.size(round(water.each.diameter_in, 2)), formats.weighed(water.each.grams, 0)
    if water.count > 1:
        return f"{water.count} × {water.balloon_type_name}, each filled to {size}: {weight} each"
    return f"{water.balloon_type_name} or larger, filled to {size}: {weight}"


def _bags(bagging: Bagging) -> str:
    """Returns the bags in words: “2 × large bag, 3 in each”."""
    alike = Counter(bagging.pieces_by_bag)
    if len(alike) == 1:
        each = "each" if bagging.bags > 1 else "it"
        return f"{bagging.bags} × {bagging.bag.name}, {bagging.pieces_by_bag[0]} in {each}"
    shares = ", ".join(f"{bags} with {pieces}" for pieces, bags in alike.items())
    return f"{bagging.bags} × {bagging.bag.name}: {shares}"
