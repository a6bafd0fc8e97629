"""This module words advice about wind and heat at the venue; it changes no verdict."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from app.actions.records.rebuild_request import rebuild_request
from app.actions.records.sold_rows import read_parts
from app.craft.sizing import HOT_C
from app.physics.balloon import Gas
from app.physics.light import Surroundings
from app.physics.material import Material
from app.quoting.journey import venue_air
from app.quoting.parts import BatchSpec, weight_of_one
from app.quoting.quote import Quote
from app.quoting.request import OrderRequest
from app.quoting.shop import Shop
from app.store.models import Order, OrderLine
from app.store.queries.bench import BoardRow
from app.store.queries.pickup_rows import PickupRow
from app.web.formats import Formats
from app.web.wording.materials import MATERIAL_WORDS


class Emphasis(StrEnum):
    """How important a sentence is: WARN stands out, SAY is read, ASIDE opens on request."""

    WARN = "warn"
    SAY = "say"
    ASIDE = "aside"


class AdviceTopic(StrEnum):
    """What advice is about. ASK_WIND: nobody said how strong the wind will be. NOT_CALCULATED: the weights of an
    order from before they were calculated. NOT_INCLUDED: what the chances leave out here, besides gusts."""

    WIND = "wind"
    TOO_WINDY = "too-windy"
    ASK_WIND = "ask-wind"
    GUSTS = "gusts"
    NOT_CALCULATED = "not-calculated"
    AIR_FILLED = "air-filled"
    HEAT = "heat"
    FILLED_SMALLER = "filled-smaller"
    BURSTS = "bursts"
    NOT_INCLUDED = "not-included"


@dataclass(frozen=True, slots=True)
class WeatherAdvice:
    """Advice on one topic."""

    emphasis: Emphasis
    topic: AdviceTopic
    text: str


@dataclass(frozen=True, slots=True)
class WeighedPiece:
    """What the advice needs to know of a batch. has_weight: whether its weight for the wind is known.
    filled_smaller: whether it is filled smaller because of the heat. film: the plural of its material if that does
    not stretch; else empty. treated: whether it has a coat inside."""

    name: str
    gas: str
    has_weight: bool
    filled_smaller: bool
    film: str = ""
    treated: bool = False


GUSTS = (
    "Gusts are not included: use more weight rather than less. Keep balloons away from power lines"
    " and never release them. Follow local codes."
)
WEIGHTS_NOT_CALCULATED = "The weights for the wind are not calculated yet. Edit the order and save it."
AIR_FILLED_ADVICE = "Weigh down air-filled balloons too. Their weight is not included here."
BURSTS = "Some may burst in the heat. That is not included in the chances."


def advise_quote(quote: Quote, shop: Shop, formats: Formats) -> tuple[WeatherAdvice, ...]:
    """Returns the advice for a quote."""
    hot = _is_hot(quote.request, shop)
    fills = [batch.fill for batch in quote.batches]
    pieces = [
        WeighedPiece(
            fill.balloon_type.name,
            fill.spec.gas,
            fill.weight_g is not None,
            _is_filled_smaller(fill.balloon_type.material, fill.spec.gas, fill.size.why, hot=hot),
            _film(fill.balloon_type.material),
            fill.spec.treated,
        )
        for fill in fills
    ]
    below = [(line.title, weight_of_one(line.parts, line.request.quantity, quote.weights)) for line in quote.lines]
    return advise(quote.request, pieces, below, shop, formats)


def advise_order(order: Order, rows: Iterable[BoardRow], shop: Shop, formats: Formats) -> tuple[WeatherAdvice, ...]:
    """Returns the advice for an order with these batches."""
    request, rows = rebuild_request(order), tuple(rows)
    hot = _is_hot(request, shop)
    pieces = [
        WeighedPiece(
            row.balloon_type_name,
            row.gas,
            row.weight_g is not None,
            _is_filled_smaller(row.material, row.gas, row.fill_why, hot=hot),
            _film(row.material),
            row.treated,
        )
        for row in rows
        if row.quantity
    ]
    weights = _weights_of_batches(rows)
    below = [(line.title, weight_of_one(read_parts(line.parts), line.quantity, weights)) for line in order.lines]
    return advise(request, pieces, below, shop, formats)


def advise(
    request: OrderRequest,
    pieces: Sequence[WeighedPiece],
    below: Iterable[tuple[str, float | None]],
    shop: Shop,
    formats: Formats,
) -> tuple[WeatherAdvice, ...]:
    """Returns the advice for an order, once for all its batches; none for an order indoors that is not hot.

    below: for each line its title and the least weight in grams below one; None when it needs none.
    """
    wind = (
        _of_wind(request, pieces, _on_each(below, formats), shop, formats) if request.surroundings.outdoors else ()
    )
    heat = _of_heat(request, pieces, shop, formats) if _is_hot(request, shop) else ()
    return (*wind, *heat, *_not_included(request, pieces, shop))


def _not_included(request: OrderRequest, pieces: Sequence[WeighedPiece], shop: Shop) -> Iterator[WeatherAdvice]:
    """Yields one line about what the chances leave out for these pieces; gusts and bursts have their own."""
    with_helium = [piece for piece in pieces if piece.gas == Gas.HELIUM]
    damp = request.surroundings.outdoors and any(piece.treated for piece in with_helium)
    films = dict.fromkeys(piece.film for piece in with_helium if piece.film)
    named = [
        *(["how damp air weakens the treatment"] if damp else []),
        *([f"what warmth does to {' and '.join(films)}"] if films and _is_hot(request, shop) else []),
    ]
    if named:
        yield WeatherAdvice(Emphasis.SAY, AdviceTopic.NOT_INCLUDED, f"Not included: {'; '.join(named)}.")


def _film(material: Material) -> str:
    """Returns the plural of a material that does not stretch, within a sentence; empty for latex."""
    return "" if material.traits.stretches else MATERIAL_WORDS[material].plural.lower()


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
    request: OrderRequest, pieces: Sequence[WeighedPiece], weights: str, shop: Shop, formats: Formats
) -> tuple[WeatherAdvice, ...]:
    has_air = any(piece.gas == Gas.AIR for piece in pieces)
    air = (WeatherAdvice(Emphasis.SAY, AdviceTopic.AIR_FILLED, AIR_FILLED_ADVICE),) if has_air else ()
    if any(piece.gas == Gas.HELIUM and not piece.has_weight for piece in pieces):
        return (WeatherAdvice(Emphasis.WARN, AdviceTopic.NOT_CALCULATED, WEIGHTS_NOT_CALCULATED), *air)
    if not weights:
        return air
    gusts = WeatherAdvice(Emphasis.SAY, AdviceTopic.GUSTS, GUSTS)
    return (_weights_advice(request.wind_m_s, weights, shop, formats), *air, gusts)


def _weights_advice(wind: float | None, weights: str, shop: Shop, formats: Formats) -> WeatherAdvice:
    limit = shop.outdoors.wind_limit_m_s
    if wind is None:
        text = f"Ask for the wind forecast. In {formats.wind(limit)} of wind use at least {weights}."
        return WeatherAdvice(Emphasis.WARN, AdviceTopic.ASK_WIND, text)
    if wind > limit:
        text = (
            f"Too windy for helium outdoors: {formats.wind(wind)}, the limit is {formats.wind(limit)}. Offer a room"
            f" indoors, or air-filled balloons on a base. With helium use at least {weights}."
        )
        return WeatherAdvice(Emphasis.WARN, AdviceTopic.TOO_WINDY, text)
    text = f"In {formats.wind(wind)} of wind use at least {weights}."
    return WeatherAdvice(Emphasis.SAY, AdviceTopic.WIND, text)


def _on_each(weights: Iterable[tuple[str, float | None]], formats: Formats) -> str:
    """Returns the weights: “97 g on each 11 in latex, 1.1 kg on each 36 in jumbo foil”.

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
        where = "In the sun balloons swell and may burst."
    else:
        where = f"At {formats.temperature(venue_air(request, shop).celsius)} balloons swell and may burst."
    keep = "Keep them cool and out of the sun as long as you can, never in a parked car."
    names = ", ".join(dict.fromkeys(piece.name for piece in pieces if piece.filled_smaller))
    smaller = WeatherAdvice(Emphasis.ASIDE, AdviceTopic.FILLED_SMALLER, f"Filled smaller because of it: {names}.")
    return (
        WeatherAdvice(Emphasis.WARN, AdviceTopic.HEAT, f"{where} {keep}"),
        *([smaller] if names else []),
        WeatherAdvice(Emphasis.ASIDE, AdviceTopic.BURSTS, BURSTS),
    )


def weight_sentence(grams: float | None, formats: Formats) -> str:
    """Returns the weight of each balloon sold singly as a sentence; empty when the wind requires none."""
    return f"Outdoors, weigh down each with at least {formats.grams(grams)}." if grams else ""


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
    weights = _weights_of_batches(rows)
    return {line.position: _of_line(line, weights, formats) for line in order.lines if line.design_id}


def weights_of_singles(order: Order, rows: Iterable[BoardRow], formats: Formats) -> dict[str, str]:
    """Returns the weight of each balloon that is sold singly as a sentence, by the key of its batch."""
    singly = {spec for line in order.lines if line.design_id is None for spec in read_parts(line.parts)}
    return {
        row.key: weight_sentence(row.weight_g, formats) for row in rows if row.quantity and _spec(row) in singly
    }


def _weights_of_batches(rows: Iterable[BoardRow]) -> dict[BatchSpec, float | None]:
    """Returns the least weight below one balloon of each batch, in grams."""
    return {_spec(row): row.weight_g for row in rows}


def _spec(row: BoardRow) -> BatchSpec:
    """Returns what the balloons of a batch have in common."""
    return BatchSpec(row.balloon_type_id, Gas(row.gas), row.treated, row.part, row.hung_g)


def _of_line(line: OrderLine, weights: Mapping[BatchSpec, float | None], formats: Formats) -> str:
    return describe_design_weight(read_parts(line.parts), line.quantity, weights, formats)


def weights_to_hang(row: PickupRow, formats: Formats) -> str:
    """Returns the weights to hang below one of each line, for the hand-over; empty when the wind requires none."""
    weights = {
        BatchSpec(batch.balloon_type_id, Gas(batch.gas), batch.treated, row.part, batch.hung_g): batch.weight_g
        for batch in row.batches
    }
    below = (
        (title, weight_of_one(read_parts(parts), quantity, weights)) for title, quantity, parts in row.sold_lines
    )
    return _on_each(below, formats)
