"""Beside the form of a design: how many balloons its build takes, and what a bouquet lifts."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from app.actions.records.shop import Goods, Shop
from app.craft.arches import arch
from app.craft.bouquet import Bouquet, Stacking, make_bouquet
from app.craft.build import Build, Form
from app.craft.clusters import Base, Column, columns
from app.craft.curves import Shape
from app.craft.garland import Fullness, garland
from app.craft.piece import piece_of
from app.craft.sizing import FillSize, fill_size
from app.craft.strung import strung_arch
from app.physics.balloon import Gas, Kind
from app.physics.endurance import Filling, Surroundings
from app.store.models import KindRow
from app.web.formats import Formats


@dataclass(frozen=True, slots=True)
class PartSoFar:
    """A part as far as it is typed: how many may be 0 still."""

    row: KindRow
    gas: Gas
    quantity: int


@dataclass(frozen=True, slots=True)
class Option:
    """numbers: how many of each kind, by its id, all with that gas."""

    says: str
    numbers: Mapping[int, int]
    gas: Gas = Gas.AIR

    @property
    def balloons(self) -> int:
        return sum(self.numbers.values())


@dataclass(frozen=True, slots=True)
class Advice:
    """options: numbers to choose from. facts and warnings: sentences."""

    options: tuple[Option, ...] = ()
    facts: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Asked:
    """weight_g: of the weights among its supplies, None where there is none."""

    build: Build
    parts: Sequence[PartSoFar]
    weight_g: float | None
    goods: Goods
    shop: Shop
    formats: Formats


def advise(asked: Asked) -> Advice:
    """Nothing for a form that needs no advice; figures that go together badly are said as a warning."""
    advisers: Mapping[Form, Callable[[Asked], Advice]] = {
        Form.BASE: _base,
        Form.COLUMN: _column,
        Form.ARCH: _arch,
        Form.GARLAND: _garland,
        Form.STRUNG: _strung,
        Form.BOUQUET: _bouquet,
        Form.STRINGS: _bouquet,
    }
    if asked.build.form not in advisers:
        return Advice()
    try:
        return advisers[asked.build.form](asked)
    except ValueError as wrong:
        return Advice(warnings=(f"That does not go together: {wrong}.".replace("..", "."),))


def _latex(asked: Asked, gas: Gas) -> KindRow | None:
    """What fours or a line are made of: the first latex with that gas."""
    return next((part.row for part in asked.parts if part.gas is gas and part.row.kind().stretches), None)


def _filled_to(kind: Kind, gas: Gas, shop: Shop) -> FillSize:
    return fill_size(kind, gas, shop.air, (), Surroundings.INDOORS, shop.air_sizes)


NO_AIR = Advice(facts=("Choose the latex that it is made of, filled with air: then the numbers stand here.",))


def _of_fours(asked: Asked, options: Callable[[float], Iterator[tuple[int, str]]]) -> Advice:
    """options: from the fill size in inches to balloons and what they come to."""
    row = _latex(asked, Gas.AIR)
    if row is None:
        return NO_AIR
    size = _filled_to(row.kind(), Gas.AIR, asked.shop).diameter_in
    made = tuple(Option(says, {row.id: count}) for count, says in options(size))
    return Advice(made, (f"{row.name}, filled with air to {asked.formats.size(size)} indoors.",))


def _column(asked: Asked) -> Advice:
    def options(size: float) -> Iterator[tuple[int, str]]:
        for made in columns(asked.build.number("height_m"), size, asked.shop.craft.columns):
            yield made.balloons, _standing(made, f"{made.layers} fours")

    return _of_fours(asked, options)


def _base(asked: Asked) -> Advice:
    def options(size: float) -> Iterator[tuple[int, str]]:
        for fours, words in ((1, "one four"), (2, "two fours")):
            yield (made := Base((size,) * fours)).balloons, _standing(made, words)

    return _of_fours(asked, options)


def _standing(made: Column | Base, of: str) -> str:
    return f"{of}, {made.height_m:.2f} m high and {made.width_m:.2f} m wide"


def _arch(asked: Asked) -> Advice:
    build, warnings = asked.build, list[str]()

    def options(size: float) -> Iterator[tuple[int, str]]:
        made = arch(
            Shape(str(build.figures["shape"])),
            build.number("span_m"),
            build.number("height_m"),
            size,
            asked.shop.craft.arches,
        )
        warnings.extend(made.warnings)
        opening = f"opening {made.opening_width_m:.2f} m wide and {made.opening_height_m:.2f} m high"
        yield made.balloons, f"{made.fours} fours, {opening}"

    advice = _of_fours(asked, options)
    return Advice(advice.options, advice.facts, tuple(warnings))


def _garland(asked: Asked) -> Advice:
    fullness = Fullness(str(asked.build.figures["fullness"]))
    made = garland(asked.build.number("length_m"), fullness, asked.shop.craft.garlands)
    by_size = {row.nominal_in: row for row in reversed(_latex_sold(asked.goods))}
    missing = [asked.formats.size(size) for size, _ in made.counts if size not in by_size]
    if missing:
        return Advice(warnings=(f"The shop has no latex of {', '.join(missing)} for it.",))
    counts = {by_size[size].id: count for size, count in made.counts if count}
    sizes = ", ".join(f"{count} × {asked.formats.size(size)}" for size, count in made.counts if count)
    return Advice((Option(sizes, counts),))


def _latex_sold(goods: Goods) -> list[KindRow]:
    return [row for row in goods.kinds_offered if row.kind().stretches and not row.air_only]


def _strung(asked: Asked) -> Advice:
    row = _latex(asked, Gas.HELIUM)
    if row is None:
        return Advice(facts=("Choose the latex that lifts it, with helium: then the numbers stand here.",))
    kind, build, shop = row.kind(), asked.build, asked.shop
    made = strung_arch(
        build.number("span_m"),
        build.number("height_m"),
        Filling(kind, Gas.HELIUM, kind.full_litres, shop.air),
        there=shop.air,
        strung=replace(shop.craft.strung, spacing_m=build.number("spacing_m")),
        habits=shop.habits,
        outdoors=shop.outdoors,
    )
    weight = f", an end weight of {asked.formats.grams(made.end_weight_g)} each" if made.end_weight_g else ""
    says = f"a line of {made.line.length_m:.2f} m{weight}"
    return Advice((Option(says, {row.id: made.balloons}, Gas.HELIUM),), (), made.warnings)


def _bouquet(asked: Asked) -> Advice:
    if not any(part.quantity for part in asked.parts):
        return Advice(facts=("With its balloons filled in, its lift and its weight stand here.",))
    made, grip = _stacked(asked), asked.shop.outdoors.grip
    needed = made.needed_weight_g(grip)
    facts = (
        f"It lifts {made.net_lift_g:.0f} g, its ribbons taken off, and needs a weight of at least"
        f" {asked.formats.grams(needed)}.",
        f"{made.height_cm:.0f} cm high without ribbons, {made.width_cm:.0f} cm wide.",
    )
    return Advice((), facts, tuple(caution.says for caution in made.cautions(grip, asked.weight_g)))


def _stacked(asked: Asked) -> Bouquet:
    shop = asked.shop
    pieces = []
    for part in asked.parts:
        kind = part.row.kind()
        litres = _filled_to(kind, part.gas, shop).litres
        filling = Filling(kind, part.gas, litres, shop.air)
        above = not kind.stretches
        pieces += [piece_of(filling, shop.air, shop.habits, topper=above)] * part.quantity
    build = Stacking.COLUMN if asked.build.form is Form.STRINGS else Stacking.LAYERS
    return make_bouquet(pieces, build, shop.craft.bouquets)
