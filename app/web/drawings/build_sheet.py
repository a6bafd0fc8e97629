"""How a piece is put together, as ticket, order page and the craft page show it."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from app.craft.bagging import Bagging
from app.physics.material import Material
from app.quoting.build_sheets.line_sheet import LineSheet
from app.quoting.build_sheets.sheet import Fact, Measure, Need
from app.quoting.build_sheets.weights import ChosenWeight, Water
from app.web.drawings.picture import Picture, picture_of, tone_look
from app.web.formats import Formats


@dataclass(frozen=True, slots=True)
class ShownCut:
    length: str
    of_one: int
    of_all: int


@dataclass(frozen=True, slots=True)
class ShownSheet:
    """key: look and name of each colour in the picture. facts: label and text. cut_total: of one, and of all where
    there are several."""

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


def show_sheet(made: LineSheet, formats: Formats) -> ShownSheet:
    picture = picture_of(made.drawing) if made.drawing else None
    return ShownSheet(
        title=made.title,
        quantity=made.quantity,
        picture=picture,
        key=tuple(_key(made.colours, picture)),
        facts=tuple(_facts(made, formats)),
        cut_of=made.cut_of,
        cuts=tuple(ShownCut(f"{cut.length_cm} cm", cut.count, cut.count * made.quantity) for cut in made.cuts),
        cut_total=(metres(made.cut_m), metres(made.cut_m * made.quantity)),
        cautions=made.cautions,
        steps=made.steps,
    )


def metres(length: float) -> str:
    return f"{length:.2f} m"


def _key(colours: Sequence[str], picture: Picture | None) -> Iterator[tuple[str, str]]:
    looks = {circle.look for circle in picture.circles} if picture else set()
    for tone, name in enumerate(colours):
        if tone_look(tone) in looks:
            yield tone_look(tone), name
    if colours and tone_look(None) in looks:
        yield tone_look(None), ", ".join(material for material in Material if material.traits.is_topper)


def _facts(made: LineSheet, formats: Formats) -> Iterator[tuple[str, str]]:
    for fact in made.facts:
        yield fact.label, _described(fact)
    if made.lift_g is not None:
        yield "Net lift", f"{made.lift_g:.1f} g".replace("-", "−")
    if made.need:
        yield from _weights(made.need, formats)
    if made.chosen and made.need:
        yield "Weight in it", _chosen(made.chosen)
    if made.water:
        yield "Or water", _water(made.water, formats)
    if made.bagging:
        yield "Bags", _bags(made.bagging)


def _described(fact: Fact) -> str:
    if isinstance(fact.value, str):
        return fact.value
    return metres(fact.value) if fact.measure is Measure.M else f"{fact.value:.0f} cm"


def _weights(need: Need, formats: Formats) -> Iterator[tuple[str, str]]:
    ends = " at each end" if need.each_end else ""
    yield f"Weight indoors{ends}", f"at least {need.indoors_g} g"
    wind = f" in {formats.wind(need.wind_m_s)} of wind"
    yield f"Weight outdoors{ends}", f"at least {need.outdoors_g} g{wind}"


def _chosen(chosen: ChosenWeight) -> str:
    return f"{chosen.name}, {chosen.grams:g} g" if chosen.grams is not None else chosen.name


def _water(water: Water, formats: Formats) -> str:
    several = f"{water.count} × " if water.count > 1 else ""
    each = " each" if water.count > 1 else ""
    size = formats.size(round(water.each.diameter_in, 2))
    larger = "" if water.count > 1 else ", or larger,"
    return f"{several}{water.balloon_type_name}{larger} filled to {size}: {water.each.grams:.0f} g{each}"


def _bags(bagging: Bagging) -> str:
    """“2 × large bag, 3 in each”."""
    alike = Counter(bagging.in_each)
    if len(alike) == 1:
        each = "each" if bagging.bags > 1 else "it"
        return f"{bagging.bags} × {bagging.bag.name}, {bagging.in_each[0]} in {each}"
    shares = ", ".join(f"{bags} with {pieces}" for pieces, bags in alike.items())
    return f"{bagging.bags} × {bagging.bag.name}: {shares}"
