"""This module words advice about wind and heat at the venue; it changes no promise."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from app.actions.records.rebuild_request import rebuild_request
from app.actions.records.sold_rows import read_parts
from app.craft.sizing import HOT_C
from app.physics.balloon import Gas
from app.physics.endurance import Surroundings
from app.physics.material import Material
from app.quoting.journey import venue_air
from app.quoting.parts import BatchSpec, weight_of_one
from app.quoting.quote import Quote
from app.quoting.request import OrderRequest
from app.quoting.shop import Shop
from app.store.models import Order, OrderLine
from app.store.queries.bench import BoardRow
from app.store.queries.pickups import PickupRow
from app.web.formats import Formats


class Emphasis(StrEnum):
    """How important a sentence is: WARN stands out, SAY is read, ASIDE is small."""

    WARN = "warn"
    SAY = "say"
    ASIDE = "aside"


@dataclass(frozen=True, slots=True)
class WeatherAdvice:
    """One sentence of advice."""

    emphasis: Emphasis
    text: str


@dataclass(frozen=True, slots=True)
class WeighedPiece:
    """What the advice needs to know of a batch. grams: the least weight of each balloon; None when it needs
    none. filled_smaller: whether it is filled smaller because of the heat."""

    name: str
    gas: str
    grams: float | None
    filled_smaller: bool


GUSTS = (
    "Gusts are stronger than the forecast's mean wind: reckon with the gusts, and take more weight rather than "
    "less. Keep them from power lines and let none go; local codes come first."
)
WEIGHTS_NOT_CALCULATED = (
    "Weights for the wind are not reckoned yet for this order: open it to change, save it, and they are."
)
AIR_FILLED_ADVICE = (
    "What is filled with air catches the wind as well: hold it down. Its weight is not reckoned here."
)


def advise_quote(quote: Quote, shop: Shop, formats: Formats) -> tuple[WeatherAdvice, ...]:
    """Returns the advice for a quote."""
    hot = _is_hot(quote.request, shop)
    fills = [batch.fill for batch in quote.batches]
    pieces = [
        WeighedPiece(
            fill.balloon_type.name,
            fill.spec.gas,
            fill.weight_g,
            _is_filled_smaller(fill.balloon_type.material, fill.spec.gas, fill.size.why, hot=hot),
        )
        for fill in fills
    ]
    return advise(quote.request, pieces, shop, formats)


def advise_order(order: Order, rows: Iterable[BoardRow], shop: Shop, formats: Formats) -> tuple[WeatherAdvice, ...]:
    """Returns the advice for an order with these batches."""
    request = rebuild_request(order)
    hot = _is_hot(request, shop)
    pieces = [
        WeighedPiece(
            row.balloon_type_name,
            row.gas,
            row.weight_g,
            _is_filled_smaller(row.material, row.gas, row.fill_why, hot=hot),
        )
        for row in rows
        if row.quantity
    ]
    return advise(request, pieces, shop, formats)


def advise(
    request: OrderRequest, pieces: Sequence[WeighedPiece], shop: Shop, formats: Formats
) -> tuple[WeatherAdvice, ...]:
    """Returns the advice for an order, once for all its batches; none for an order indoors that is not hot."""
    wind = _of_wind(request, pieces, shop, formats) if request.surroundings.outdoors else ()
    heat = _of_heat(request, pieces, shop, formats) if _is_hot(request, shop) else ()
    return (*wind, *heat)


def _is_hot(request: OrderRequest, shop: Shop) -> bool:
    """Returns whether the venue is in the sun or hotter than HOT_C."""
    return request.surroundings is Surroundings.SUN or venue_air(request, shop).celsius > HOT_C


def _is_filled_smaller(material: Material, gas: str, why: Sequence[str], *, hot: bool) -> bool:
    """Returns whether a batch is filled smaller because of the venue.

    What stretches always has a reason for its size when it is filled with air, so there the heat decides; elsewhere
    a reason means less than full.
    """
    return hot if material.traits.stretches and gas == Gas.AIR else bool(why)


def _of_wind(
    request: OrderRequest, pieces: Sequence[WeighedPiece], shop: Shop, formats: Formats
) -> tuple[WeatherAdvice, ...]:
    weights = _on_each(((piece.name, piece.grams) for piece in pieces), formats)
    air = (WeatherAdvice(Emphasis.SAY, AIR_FILLED_ADVICE),) if any(piece.gas == Gas.AIR for piece in pieces) else ()
    if any(piece.gas == Gas.HELIUM and piece.grams is None for piece in pieces):
        return (WeatherAdvice(Emphasis.WARN, WEIGHTS_NOT_CALCULATED), *air)
    if not weights:
        return air
    limit = shop.outdoors.wind_limit_m_s
    if request.wind_m_s is None:
        said = WeatherAdvice(Emphasis.WARN, _ask_sentence(formats.wind(limit), weights))
    elif request.wind_m_s > limit:
        said = WeatherAdvice(
            Emphasis.WARN, _too_windy_sentence(formats.wind(request.wind_m_s), formats.wind(limit), weights)
        )
    else:
        said = WeatherAdvice(
            Emphasis.SAY, f"In {formats.wind(request.wind_m_s)} of wind they need weights: at least {weights}."
        )
    return (said, *air, WeatherAdvice(Emphasis.ASIDE, GUSTS))


def _ask_sentence(limit: str, weights: str) -> str:
    return (
        "How strong will the wind be there? Ask for the forecast. Until it is told, weights are reckoned with the "
        f"shop's limit of {limit}: at least {weights}."
    )


def _too_windy_sentence(wind: str, limit: str, weights: str) -> str:
    return (
        f"Advise against helium outdoors: {wind} of wind is above the shop's limit of {limit}. Better indoors, or "
        f"with air on a base that is held down. All the same they would need at least {weights}."
    )


def _on_each(weights: Iterable[tuple[str, float | None]], formats: Formats) -> str:
    """Returns the weights in words: “97 g on each 11 in latex, 1.1 kg on each 36 in jumbo foil”.

    For each name it gives the heaviest weight; it is empty when none is needed.
    """
    heaviest: dict[str, float] = {}
    for name, grams in weights:
        heaviest[name] = max(heaviest.get(name, 0.0), grams or 0.0)
    return ", ".join(f"{formats.grams(grams)} on each {name}" for name, grams in heaviest.items() if grams)


def _of_heat(
    request: OrderRequest, pieces: Sequence[WeighedPiece], shop: Shop, formats: Formats
) -> tuple[WeatherAdvice, ...]:
    if request.surroundings is Surroundings.SUN:
        where = "The sun heats a balloon above the air around it: it swells and may burst."
    else:
        where = f"At {formats.temperature(venue_air(request, shop).celsius)} a balloon swells and may burst."
    names = ", ".join(dict.fromkeys(piece.name for piece in pieces if piece.filled_smaller))
    smaller = f" Filled smaller already: {names}." if names else ""
    keep = f"Keep them cool and out of the sun while you can, and never in a parked car.{smaller}"
    return (
        WeatherAdvice(Emphasis.WARN, f"{where} {keep}"),
        WeatherAdvice(Emphasis.ASIDE, "Some may burst all the same: how many is not reckoned and not promised."),
    )


def weight_sentence(grams: float | None, formats: Formats) -> str:
    """Returns the weight of each balloon of a batch as a sentence; empty when the wind requires none."""
    return f"Outdoors at least {formats.grams(grams)} of weight on each." if grams else ""


def describe_design_weight(
    parts: Mapping[BatchSpec, Mapping[str, int]],
    quantity: int,
    weights: Mapping[BatchSpec, float | None],
    formats: Formats,
) -> str:
    """Returns the weight below one whole design, “1.1 kg”; empty when the wind requires none."""
    grams = weight_of_one(parts, quantity, weights)
    return formats.grams(grams) if grams else ""


def weights_of_designs(order: Order, rows: Iterable[BoardRow], formats: Formats) -> dict[int, str]:
    """Returns the weight below one of each design of an order, by the position of its line."""
    weights = {BatchSpec(row.balloon_type_id, Gas(row.gas), row.treated, row.part): row.weight_g for row in rows}
    return {line.position: _of_line(line, weights, formats) for line in order.lines if line.design_id}


def _of_line(line: OrderLine, weights: Mapping[BatchSpec, float | None], formats: Formats) -> str:
    return describe_design_weight(read_parts(line.parts), line.quantity, weights, formats)


def weights_to_hang(row: PickupRow, formats: Formats) -> str:
    """Returns the weights to hang below one of each line, for the hand-over; empty when the wind requires none."""
    weights = {
        BatchSpec(batch.balloon_type_id, Gas(batch.gas), batch.treated, row.part): batch.weight_g
        for batch in row.batches
    }
    below = (
        (title, weight_of_one(read_parts(parts), quantity, weights)) for title, quantity, parts in row.sold_lines
    )
    return _on_each(below, formats)
