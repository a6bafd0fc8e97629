"""What the counter shows about stock for an order: goods, gas, room; and what could replace what is short."""

from collections.abc import Iterator
from dataclasses import dataclass

from app.actions.bench.holding_area import fit_in_holding_area, load_holding_area
from app.actions.gas.outlook import gas_outlook
from app.actions.stock.shortages import ShortGoods, StockCheck, find_shortages
from app.actions.stock.substitutes import Substitute, find_substitutes
from app.physics.balloon import Gas
from app.places.counter.weights import ShownWeights, show_weights, weights_for
from app.quoting.quote import Quote
from app.quoting.way_search import QuoteFunction
from app.store.models import Order
from app.web.requests import request_context
from app.web.wording.bench import holding_area_sentence
from app.web.wording.gas import gas_note
from app.web.wording.stock import enough_sentence, short_sentence, short_words, substitute_title


@dataclass(frozen=True, slots=True)
class StockNote:
    """A sentence about one topic: stock, gas or the holding area.

    short: what is missing, for the headline, so that the order is accepted only with a reason; empty if nothing is.
    is_warning: whether it only warns and blocks nothing. is_unknown_colour: whether the stock never had that
    colour.
    """

    topic: str
    sentence: str
    short: str = ""
    is_warning: bool = False
    is_unknown_colour: bool = False

    @property
    def is_fine(self) -> bool:
        return not (self.short or self.is_warning)


@dataclass(frozen=True, slots=True)
class ShownSubstitute:
    """key: what its button sends. price: more or less than now."""

    key: str
    title: str
    price: str
    available: str


@dataclass(frozen=True, slots=True)
class ShownStockNotes:
    """The notes and substitutes of an order. weights: what it still needs outdoors; None if it needs none."""

    notes: tuple[StockNote, ...]
    substitutes: tuple[ShownSubstitute, ...]
    weights: ShownWeights | None

    @property
    def is_short(self) -> bool:
        """Whether anything is short."""
        return any(note.short for note in self.notes)

    @property
    def short_topics(self) -> tuple[str, ...]:
        """The topics of what is short, each once."""
        return tuple(dict.fromkeys(note.topic for note in self.notes if note.short))

    @property
    def wrong(self) -> tuple[StockNote, ...]:
        """The notes about what is short, or nearly."""
        return tuple(note for note in self.notes if not note.is_fine)

    @property
    def fine(self) -> tuple[StockNote, ...]:
        """The other notes."""
        return tuple(note for note in self.notes if note.is_fine)


def show_stock_notes(quote: Quote, order: Order | None, quote_for: QuoteFunction) -> ShownStockNotes:
    """Returns the notes and substitutes. order: the order that is changed, if one is."""
    here = request_context()
    stock = find_shortages(here.context, quote, _number(order))
    notes = [_short_note(short) for short in stock.shortages]
    if stock.is_counted and not notes:
        notes = [StockNote("stock", enough_sentence(stock, here.catalogue, here.formats))]
    substitutes = _substitutes(quote, stock, order, quote_for) if stock.shortages else []
    return ShownStockNotes(
        (*notes, *_gas_notes(quote, order), *_holding_area_notes(quote, order)),
        tuple(map(_show_substitute, sorted(substitutes, key=lambda one: one.costs_minor))),
        show_weights(weights_for(quote, order), here.formats),
    )


def offered_substitute(quote: Quote, order: Order | None, quote_for: QuoteFunction, key: str) -> Substitute | None:
    """Returns the substitute that was offered under that key, calculated again."""
    here = request_context()
    stock = find_shortages(here.context, quote, _number(order))
    return next((one for one in _substitutes(quote, stock, order, quote_for) if substitute_key(one) == key), None)


def _substitutes(
    quote: Quote, stock: StockCheck, order: Order | None, quote_for: QuoteFunction
) -> list[Substitute]:
    """Returns the substitutes for what is short."""
    here = request_context()
    return find_substitutes(here.context, quote, stock, quote_for, _number(order))


def _holding_area_notes(quote: Quote, order: Order | None) -> Iterator[StockNote]:
    """Yields a note about the holding area."""
    here = request_context()
    holding_area = load_holding_area(here.context, here.shop.stock_defaults.holding_area_room, _number(order))
    if holding_area and (fit := fit_in_holding_area(quote, holding_area)):
        sentence = holding_area_sentence(fit, here.formats)
        yield StockNote("holding area", sentence, is_warning=fit.over is not None)


def _number(order: Order | None) -> int | None:
    """Returns the number of the order; None if there is none."""
    return order.number if order else None


def substitute_key(one: Substitute) -> str:
    """Returns what the substitute's button sends."""
    line = one.quote.request.lines[one.line]
    return f"substitute-{one.line}-{line.balloon_type_id or 0}-{line.colours}"


def _short_note(short: ShortGoods) -> StockNote:
    """Returns the note about goods that are short."""
    here = request_context()
    sentence = short_sentence(short, here.catalogue, here.formats)
    headline = short_words(short, here.catalogue, here.formats)
    return StockNote("stock", sentence, short=headline, is_unknown_colour=not short.is_known)


def _gas_notes(quote: Quote, order: Order | None) -> Iterator[StockNote]:
    """Yields a note about how long the helium lasts; none if no cylinder was entered, or the order takes no
    helium."""
    here = request_context()
    takes = any(plan.fill.spec.gas is Gas.HELIUM for plan in quote.batches)
    outlook = gas_outlook(here.context, quote, _number(order)) if takes else None
    if note := gas_note(outlook, here.formats):
        is_warning = bool(note.headline) and not note.is_short
        yield StockNote("gas", note.sentence, note.headline if note.is_short else "", is_warning)


def _show_substitute(one: Substitute) -> ShownSubstitute:
    """Returns the substitute as the page shows it."""
    price = request_context().formats.price_difference(one.costs_minor)
    return ShownSubstitute(
        substitute_key(one), substitute_title(one), price, f"{one.free:,.10g} of the substitute left in stock."
    )
