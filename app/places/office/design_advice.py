"""The advice beside the form of a design: how many balloons its build takes, and what a bouquet lifts."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from app.craft.arches import arch
from app.craft.bouquet import Bouquet, Stacking, make_bouquet
from app.craft.build import Build, Construction
from app.craft.clusters import BalloonBase, Column, columns
from app.craft.curves import Shape
from app.craft.garland import Fullness, garland
from app.craft.piece import bouquet_balloon_of
from app.craft.sizing import FillSize, fill_size
from app.craft.strung import strung_arch
from app.physics.balloon import BalloonType, Gas
from app.physics.endurance import Filling
from app.physics.light import Surroundings
from app.quoting.catalogue import BalloonOffer, Catalogue
from app.quoting.shop import Shop
from app.web.formats import Formats


@dataclass(frozen=True, slots=True)
class TypedPart:
    """A part as far as it is typed; its quantity may still be 0."""

    row: BalloonOffer
    gas: Gas
    quantity: int


@dataclass(frozen=True, slots=True)
class NumbersOption:
    """Numbers that can be chosen. numbers: how many of each balloon type, by its id, all with that gas."""

    words: str
    numbers: Mapping[int, int]
    gas: Gas = Gas.AIR

    @property
    def balloons(self) -> int:
        """The number of balloons of all types."""
        return sum(self.numbers.values())


@dataclass(frozen=True, slots=True)
class DesignAdvice:
    """options: numbers to choose from. facts and warnings: sentences. net_lift_g, needed_weight_g: of a bouquet;
    None for anything else."""

    options: tuple[NumbersOption, ...] = ()
    facts: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
    net_lift_g: float | None = None
    needed_weight_g: float | None = None


@dataclass(frozen=True, slots=True)
class AdviceInput:
    """weight_g: of the weights among its supplies; None if there are none."""

    build: Build
    parts: Sequence[TypedPart]
    weight_g: float | None
    catalogue: Catalogue
    shop: Shop
    formats: Formats


def advise(asked: AdviceInput) -> DesignAdvice:
    """Returns the advice; empty for a construction that needs none. Figures that do not go together give a
    warning."""
    advisers: Mapping[Construction, Callable[[AdviceInput], DesignAdvice]] = {
        Construction.BASE: _base,
        Construction.COLUMN: _column,
        Construction.ARCH: _arch,
        Construction.GARLAND: _garland,
        Construction.STRUNG: _strung,
        Construction.BOUQUET: _bouquet,
        Construction.STRINGS: _bouquet,
    }
    if asked.build.construction not in advisers:
        return DesignAdvice()
    try:
        advice = advisers[asked.build.construction](asked)
    except ValueError as wrong:
        advice = DesignAdvice(warnings=(f"These figures do not work together: {wrong}.".replace("..", "."),))
    return replace(advice, warnings=tuple(asked.formats.in_shop_units(one) for one in advice.warnings))


def _tied(asked: AdviceInput, gas: Gas) -> BalloonOffer | None:
    """Returns what fours or a line are made of: the first that is tied, with that gas."""
    tied = (part.row for part in asked.parts if part.gas is gas and part.row.material.traits.is_tied)
    return next(tied, None)


def _filled_to(balloon_type: BalloonType, gas: Gas, shop: Shop) -> FillSize:
    """Returns the fill size in the shop."""
    return fill_size(balloon_type, gas, shop.air, (), Surroundings.INDOORS, shop.air_sizes)


NO_AIR = DesignAdvice(facts=("Add latex filled with air to see how many balloons it needs.",))


def _of_fours(asked: AdviceInput, options: Callable[[float], Iterator[tuple[int, str]]]) -> DesignAdvice:
    """Returns the options for a construction of fours. options: yields, for a fill size in inches, numbers of
    balloons and what they give."""
    row = _tied(asked, Gas.AIR)
    if row is None:
        return NO_AIR
    size = _filled_to(row.balloon_type, Gas.AIR, asked.shop).diameter_in
    made = tuple(NumbersOption(words, {row.id: count}) for count, words in options(size))
    fill = f"Fill {row.name} with air to {asked.formats.size(size)} indoors."
    return DesignAdvice(made, (fill, "A four is 4 balloons tied together."))


def _column(asked: AdviceInput) -> DesignAdvice:
    """Returns the advice for a column."""

    def options(size: float) -> Iterator[tuple[int, str]]:
        for made in columns(asked.build.number("height_m"), size, asked.shop.craft.columns):
            yield made.balloons, _in_words(made, made.layers, asked.formats)

    return _of_fours(asked, options)


def _base(asked: AdviceInput) -> DesignAdvice:
    """Returns the advice for a base."""

    def options(size: float) -> Iterator[tuple[int, str]]:
        for fours in (1, 2):
            yield (made := BalloonBase((size,) * fours)).balloons, _in_words(made, fours, asked.formats)

    return _of_fours(asked, options)


def _in_words(made: Column | BalloonBase, fours: int, formats: Formats) -> str:
    """Returns a column or base in words."""
    height, width = formats.length(made.height_m * 100), formats.length(made.width_m * 100)
    return f"{_fours_words(fours)}, {height} high and {width} wide"


def _fours_words(fours: int) -> str:
    """Returns the number of fours in words."""
    return "1 four" if fours == 1 else f"{fours} fours"


def _arch(asked: AdviceInput) -> DesignAdvice:
    """Returns the advice for an arch."""
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
        width, height = (
            asked.formats.length(metres * 100) for metres in (made.opening_width_m, made.opening_height_m)
        )
        yield made.balloons, f"{_fours_words(made.fours)}, opening {width} wide and {height} high"

    advice = _of_fours(asked, options)
    return DesignAdvice(advice.options, advice.facts, tuple(warnings))


def _garland(asked: AdviceInput) -> DesignAdvice:
    """Returns the advice for a garland."""
    fullness = Fullness(str(asked.build.figures["fullness"]))
    made = garland(asked.build.number("length_m"), fullness, asked.shop.craft.garlands)
    by_size = {row.nominal_in: row for row in reversed(_tied_sold(asked.catalogue))}
    missing = [asked.formats.size(size) for size, _ in made.counts if size not in by_size]
    if missing:
        return DesignAdvice(
            warnings=(f"This garland needs latex of {', '.join(missing)}. Add it under Balloon types.",)
        )
    counts = {by_size[size].id: count for size, count in made.counts if count}
    sizes = ", ".join(f"{count} × {asked.formats.size(size)}" for size, count in made.counts if count)
    return DesignAdvice((NumbersOption(sizes, counts),))


def _tied_sold(catalogue: Catalogue) -> list[BalloonOffer]:
    """Returns the balloon types that are tied and may be filled with helium."""
    return [row for row in catalogue.offered_types if row.material.traits.is_tied and not row.air_only]


def _strung(asked: AdviceInput) -> DesignAdvice:
    """Returns the advice for a strung arch."""
    row = _tied(asked, Gas.HELIUM)
    if row is None:
        return DesignAdvice(facts=("Add latex filled with helium to see how many balloons it needs.",))
    balloon_type, build, shop = row.balloon_type, asked.build, asked.shop
    made = strung_arch(
        build.number("span_m"),
        build.number("height_m"),
        Filling(balloon_type, Gas.HELIUM, balloon_type.full_litres, shop.air),
        air=shop.air,
        strung=replace(shop.craft.strung, spacing_m=build.number("spacing_m")),
        float_defaults=shop.float_defaults,
        outdoors=shop.outdoors,
    )
    weight = f", {asked.formats.grams(made.end_weight_g)} of weight at each end" if made.end_weight_g else ""
    words = f"on a line of {asked.formats.length(made.line.length_m * 100)}{weight}"
    return DesignAdvice((NumbersOption(words, {row.id: made.balloons}, Gas.HELIUM),), (), made.warnings)


def _bouquet(asked: AdviceInput) -> DesignAdvice:
    """Returns the advice for a bouquet or strings."""
    if not any(part.quantity for part in asked.parts):
        return DesignAdvice(facts=("Add balloons to see the lift and the weight that it needs.",))
    made, grip = _stacked(asked), asked.shop.outdoors.grip
    needed = made.needed_weight_g(grip)
    facts = (
        f"It lifts {asked.formats.weighed(made.net_lift_g, 0)} after its ribbons and needs a weight of at least"
        f" {asked.formats.grams(needed)}.",
        f"It is {asked.formats.length(made.height_cm)} high without ribbons and"
        f" {asked.formats.length(made.width_cm)} wide.",
    )
    warnings = tuple(caution.sentence for caution in made.cautions(grip, asked.weight_g))
    return DesignAdvice((), facts, warnings, made.net_lift_g, needed)


def _stacked(asked: AdviceInput) -> Bouquet:
    """Returns the bouquet or strings with the balloons typed so far."""
    shop = asked.shop
    pieces = []
    for part in asked.parts:
        balloon_type = part.row.balloon_type
        litres = _filled_to(balloon_type, part.gas, shop).litres
        filling = Filling(balloon_type, part.gas, litres, shop.air)
        above = balloon_type.material.traits.is_topper
        pieces += [bouquet_balloon_of(filling, shop.air, shop.float_defaults, topper=above)] * part.quantity
    build = Stacking.COLUMN if asked.build.construction is Construction.STRINGS else Stacking.LAYERS
    return make_bouquet(pieces, build, shop.craft.bouquets)
