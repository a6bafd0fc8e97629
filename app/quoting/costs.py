"""What a piece or an order costs the shop, from what is used up for it, and which costs nobody has entered yet. For
the owner only."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from math import ceil

from app.craft.cost import (
    CostLine,
    Margin,
    PackPrice,
    cost_line,
    cost_minor,
    design_price,
    floor_minor,
    per_cubic_metre,
    per_hour,
)
from app.physics.balloon import COAT_AT_INCHES, Gas, sphere_diameter_in
from app.physics.endurance import Filling
from app.planning.work import seconds_per_balloon
from app.quoting.build_sheets.bouquets import ribbon_m
from app.quoting.build_sheets.input import BalloonGroup
from app.quoting.catalogue import BalloonOffer, Catalogue, Design, Part, Supply
from app.quoting.recipe import construction_of, recipe_of
from app.quoting.shop import Shop


@dataclass(frozen=True, slots=True)
class FilledBalloons:
    """Balloons of one type filled alike, the spares for them included. The count is not always whole: it may be an
    average over designs. own: how many of them are the customer's, for which only gas and work are used."""

    balloon_type_id: int
    filling: Filling
    pieces: float
    own: int = 0


@dataclass(frozen=True, slots=True)
class ResourcesUsed:
    """What goes into a piece or an order. ribbon_m: metres. supplies: units by id, also rented ones. minutes: of
    work."""

    filled: tuple[FilledBalloons, ...]
    minutes: float
    ribbon_m: float = 0.0
    supplies: Mapping[int, float] = field(default_factory=dict)


def cost_lines(used: ResourcesUsed, catalogue: Catalogue, shop: Shop) -> tuple[CostLine, ...]:
    """Returns the cost, each line rounded once. What costs nothing, or has no known cost yet, is left out."""
    found = (
        *_balloons(used.filled, catalogue),
        *_gas(used.filled, shop),
        *_treatment(used.filled, catalogue, shop),
        *_ribbon(used.ribbon_m, catalogue),
        *_supplies(used.supplies, catalogue, shop),
        cost_line("work", used.minutes, per_hour(shop.pricing.hour_minor)),
    )
    return tuple(line for line in found if line.minor)


def _balloons(filled: Iterable[FilledBalloons], catalogue: Catalogue) -> Iterator[CostLine]:
    """Yields the cost of the shop's own balloons."""
    for balloon_type_id, count in add_up((one.balloon_type_id, one.pieces - one.own) for one in filled).items():
        row = catalogue.balloon_types[balloon_type_id]
        yield cost_line(row.name, count, PackPrice(row.pack_minor, row.pack_size))


def _gas(filled: Iterable[FilledBalloons], shop: Shop) -> Iterator[CostLine]:
    """Yields the cost of the helium."""
    litres = sum(one.filling.litres * one.pieces for one in filled if one.filling.gas is Gas.HELIUM)
    yield cost_line("helium", litres, per_cubic_metre(shop.pricing.helium_m3_minor))


def _treatment(filled: Iterable[FilledBalloons], catalogue: Catalogue, shop: Shop) -> Iterator[CostLine]:
    """Yields the cost of the treatment, in proportion to the surface, as the coat is."""
    of_11 = sum(
        one.pieces * (sphere_diameter_in(one.filling.litres) / COAT_AT_INCHES) ** 2
        for one in filled
        if one.filling.treated
    )
    if bottle := _first(catalogue, "treatment"):
        yield cost_line(bottle.name, of_11 * shop.pricing.treat_ml, _bought(bottle))


def _ribbon(metres: float, catalogue: Catalogue) -> Iterator[CostLine]:
    """Yields the cost of the ribbon."""
    if roll := _first(catalogue, "ribbon"):
        yield cost_line(roll.name, metres, _bought(roll))


def _supplies(units: Mapping[int, float], catalogue: Catalogue, shop: Shop) -> Iterator[CostLine]:
    """Yields the cost of supplies. A rented piece wears out a little each time it goes out."""
    for supply_id, count in units.items():
        row = catalogue.supplies[supply_id]
        if row.sort == "rental":
            yield cost_line(
                f"{row.name}, wear", count, PackPrice(row.pack_minor, row.pack_size * shop.pricing.rental_uses)
            )
        else:
            yield cost_line(row.name, count, _bought(row))


def _first(catalogue: Catalogue, sort: str) -> Supply | None:
    """Returns the supply that the shop uses: the first of its sort that is not archived and has a known cost."""
    used = [row for row in catalogue.supplies.values() if row.sort == sort and row.archived_at is None]
    return next((row for row in used if row.pack_minor), used[0] if used else None)


def _bought(row: Supply) -> PackPrice:
    """Returns the price of a pack of it."""
    return PackPrice(row.pack_minor, row.pack_size)


def add_up(units: Iterable[tuple[int, float]]) -> dict[int, float]:
    """Returns the units of each supply, by its id."""
    total: dict[int, float] = {}
    for supply_id, count in units:
        total[supply_id] = total.get(supply_id, 0.0) + count
    return total


def resources_used_by(design: Design, catalogue: Catalogue, shop: Shop) -> ResourcesUsed:
    """Returns what one piece of the design takes, full and untreated in the shop, without what an order adds
    once."""
    filled = tuple(_part_filled(part, catalogue, shop) for part in design.parts)
    seconds = sum(one.pieces * seconds_per_balloon(one.filling, shop.work_times) for one in filled)
    recipe = recipe_of(design, catalogue)
    balloons = [
        BalloonGroup(one.filling, one.filling.balloon_type.nominal_in, (("", part.quantity),))
        for one, part in zip(filled, design.parts, strict=True)
    ]
    metres = ribbon_m(construction_of(recipe), balloons, shop.air, shop)
    supplies = add_up((one.supply_id, one.of_one) for one in recipe.supplies)
    return ResourcesUsed(filled, design.assembly_minutes + seconds / 60, metres, supplies)


def _part_filled(part: Part, catalogue: Catalogue, shop: Shop) -> FilledBalloons:
    """Returns the balloons of one part."""
    balloon_type = catalogue.balloon_types[part.balloon_type_id].balloon_type
    more = float(shop.pricing.spares_percent) / 100 if balloon_type.material.traits.bursts_in_filling else 0.0
    filling = Filling(balloon_type, Gas(part.gas), balloon_type.full_litres, shop.air)
    return FilledBalloons(part.balloon_type_id, filling, part.quantity * (1 + more))


def design_cost(design: Design, catalogue: Catalogue, shop: Shop) -> tuple[CostLine, ...]:
    """Returns the cost of one piece of the design."""
    return cost_lines(resources_used_by(design, catalogue, shop), catalogue, shop)


def loose_cost(offer: BalloonOffer, catalogue: Catalogue, shop: Shop) -> tuple[CostLine, ...]:
    """Returns the cost of one loose balloon, full and untreated, with helium if it can float, else with air;
    without what an order adds once."""
    gas = Gas.AIR if offer.air_only else Gas.HELIUM
    filled = _part_filled(Part(offer.id, gas, 1), catalogue, shop)
    seconds = filled.pieces * seconds_per_balloon(filled.filling, shop.work_times)
    metres = shop.pricing.ribbon_m if gas is Gas.HELIUM else 0.0
    return cost_lines(ResourcesUsed((filled,), seconds / 60, metres), catalogue, shop)


def margin_at(minor: int, cost: Iterable[CostLine], shop: Shop) -> Margin:
    """Returns the profit at a list price in minor units."""
    tax = shop.pricing.tax.tax
    return Margin(minor - (tax.of(minor) if tax.contained else 0), cost_minor(cost))


def least_list_price(minor: int, cost: Iterable[CostLine], shop: Shop) -> int | None:
    """Returns the least list price, in minor units, that leaves the shop's lowest profit; None if this one does."""
    margin, pricing = margin_at(minor, cost, shop), shop.pricing
    if not margin.below(pricing.floor_percent):
        return None
    return ceil(pricing.tax.tax.printed_price(Fraction(floor_minor(margin.cost_minor, pricing.floor_percent))))


def design_price_minor(design: Design, catalogue: Catalogue, shop: Shop) -> int:
    """Returns the price calculated from its cost by the shop's markup."""
    pricing = shop.pricing
    cost = cost_minor(design_cost(design, catalogue, shop))
    return design_price(cost, pricing.markup_percent, max(pricing.price_step_minor, 1), pricing.tax.tax)


def current_design_price(design: Design, catalogue: Catalogue, shop: Shop) -> int:
    """Returns the price of one, set or calculated."""
    return design_price_minor(design, catalogue, shop) if design.computed else design.price_minor


def missing_costs(shop: Shop, catalogue: Catalogue) -> tuple[str, ...]:
    """Returns the names of all that has no cost entered yet: first the shop's own costs, such as helium, then
    balloon types and supplies that are not archived."""
    balloon_types = [
        row.name for row in catalogue.balloon_types.values() if row.archived_at is None and not row.pack_minor
    ]
    supplies = [row for row in catalogue.supplies.values() if row.archived_at is None]
    told = {row.sort for row in supplies if row.pack_minor}
    own = (
        ("an hour of work", shop.pricing.hour_minor),
        ("helium", shop.pricing.helium_m3_minor),
        ("ribbon", "ribbon" in told),
        ("treatment", "treatment" in told),
    )
    others = [row.name for row in supplies if not row.pack_minor and row.sort not in ("ribbon", "treatment")]
    return (*(name for name, cost in own if not cost), *balloon_types, *others)
