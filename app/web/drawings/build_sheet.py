"""This module shows how a piece is put together, for the ticket, the order page and the build calculator."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from app.craft.bagging import Bagging
from app.physics.material import Material
from app.quoting.build_sheets.line_sheet import LineSheet
from app.quoting.build_sheets.sheet import Fact, Measure, RequiredWeight
from app.quoting.build_sheets.weights import ChosenWeight, Water
from app.web.drawings.picture import Picture, picture_of, tone_look
from app.web.formats import Formats


@dataclass(frozen=True, slots=True)
class ShownCut:
    """A ribbon of one length: how many for one piece, and for all."""

    length: str
    of_one: int
    of_all: int


@dataclass(frozen=True, slots=True)
class ShownSheet:
    """A build sheet as the pages show it.

    key: the look and the name of each colour in the picture. facts: (label, text). cut_total: metres for one piece,
    and for all.
    """

    title: str
    quantity: int
    picture: Picture | None
    key: tuple[tuple[str, str], ...]
    facts: tuple[tuple[str, str], ...]
    cut_of: str
    cuts: tuple[ShownCut, ...]
    cut_total: tuple[str, str]
    cautions: tuple[str, ...]
    steps: tuple[str, ...]


def show_sheet(sheet: LineSheet, formats: Formats) -> ShownSheet:
    """Returns a build sheet as the pages show it."""
    picture = picture_of(sheet.drawing) if sheet.drawing else None
    return ShownSheet(
        title=sheet.title,
        quantity=sheet.quantity,
        picture=picture,
        key=tuple(_key(sheet.colours, picture)),
        facts=tuple(_facts(sheet, formats)),
        cut_of=sheet.cut_of,
        cuts=tuple(ShownCut(f"{cut.length_cm} cm", cut.count, cut.count * sheet.quantity) for cut in sheet.cuts),
        cut_total=(metres(sheet.cut_m), metres(sheet.cut_m * sheet.quantity)),
        cautions=sheet.cautions,
        steps=sheet.steps,
    )


def metres(length: float) -> str:
    return f"{length:.2f} m"


def _key(colours: Sequence[str], picture: Picture | None) -> Iterator[tuple[str, str]]:
    """Yields the look and the name of each colour that is in the picture."""
    looks = {circle.look for circle in picture.circles} if picture else set()
    for tone, name in enumerate(colours):
        if tone_look(tone) in looks:
            yield tone_look(tone), name
    if colours and tone_look(None) in looks:
        yield tone_look(None), ", ".join(material for material in Material if material.traits.is_topper)


def _facts(sheet: LineSheet, formats: Formats) -> Iterator[tuple[str, str]]:
    for fact in sheet.facts:
        yield fact.label, _described(fact)
    if sheet.lift_g is not None:
        yield "Net lift", f"{sheet.lift_g:.1f} g".replace("-", "−")
    if sheet.required_weight:
        yield from _weights(sheet.required_weight, formats)
    if sheet.chosen and sheet.required_weight:
        yield "Weight in it", _chosen(sheet.chosen)
    if sheet.water:
        yield "Or water", _water(sheet.water, formats)
    if sheet.bagging:
        yield "Bags", _bags(sheet.bagging)


def _described(fact: Fact) -> str:
    if isinstance(fact.value, str):
        return fact.value
    return metres(fact.value) if fact.measure is Measure.M else f"{fact.value:.0f} cm"


def _weights(required_weight: RequiredWeight, formats: Formats) -> Iterator[tuple[str, str]]:
    ends = " at each end" if required_weight.each_end else ""
    yield f"Weight indoors{ends}", f"at least {required_weight.indoors_g} g"
    wind = f" in {formats.wind(required_weight.wind_m_s)} of wind"
    yield f"Weight outdoors{ends}", f"at least {required_weight.outdoors_g} g{wind}"


def _chosen(chosen: ChosenWeight) -> str:
    return f"{chosen.name}, {chosen.grams:g} g" if chosen.grams is not None else chosen.name


def _water(water: Water, formats: Formats) -> str:
    several = f"{water.count} × " if water.count > 1 else ""
    each = " each" if water.count > 1 else ""
    size = formats.size(round(water.each.diameter_in, 2))
    larger = "" if water.count > 1 else ", or larger,"
    return f"{several}{water.balloon_type_name}{larger} filled to {size}: {water.each.grams:.0f} g{each}"


def _bags(bagging: Bagging) -> str:
    """Returns the bags in words: “2 × large bag, 3 in each”."""
    alike = Counter(bagging.pieces_by_bag)
    if len(alike) == 1:
        each = "each" if bagging.bags > 1 else "it"
        return f"{bagging.bags} × {bagging.bag.name}, {bagging.pieces_by_bag[0]} in {each}"
    shares = ", ".join(f"{bags} with {pieces}" for pieces, bags in alike.items())
    return f"{bagging.bags} × {bagging.bag.name}: {shares}"
