"""What of an order is on hand, as the counter tells it: goods, gas, room; and what could replace what is short."""

from collections.abc import Iterator
from dataclasses import dataclass

from app.actions.bench.holding_area import fit_in_corral, load_corral
from app.actions.gas.outlook import gas_outlook
from app.actions.stock.shortages import Short, Stock, ask_shelves
from app.actions.stock.substitutes import Instead, instead_of
from app.physics.balloon import Gas
from app.quoting.alternatives import Ask
from app.quoting.quote import Quote
from app.store.models import Order
from app.web.requests import visit
from app.web.wording.gas import gas_note
from app.web.wording.holding_area import corral_sentence
from app.web.wording.stock import enough_sentence, instead_title, short_sentence


@dataclass(frozen=True, slots=True)
class Note:
    """is_short: it is wanting, and the order is taken only with a reason. warns: it is said, and blocks nothing."""

    sentence: str
    is_short: bool = False
    warns: bool = False


@dataclass(frozen=True, slots=True)
class ShownInstead:
    """key: what its button sends. price: more or less than now."""

    key: str
    title: str
    price: str
    there: str


@dataclass(frozen=True, slots=True)
class ShownOnHand:
    notes: tuple[Note, ...]
    instead: tuple[ShownInstead, ...]

    @property
    def is_short(self) -> bool:
        return any(note.is_short for note in self.notes)


def show_on_hand(answer: Quote, order: Order | None, ask: Ask) -> ShownOnHand:
    """order: the one that is changed, if one is."""
    here = visit()
    stock = ask_shelves(here.session, answer, here.shop, here.goods, here.now, _number(order))
    notes = [_short_note(short) for short in stock.shorts]
    if stock.is_counted and not notes:
        notes = [Note(enough_sentence(stock, here.goods))]
    instead = _instead(answer, stock, order, ask) if stock.shorts else []
    return ShownOnHand(
        (*notes, *_gas_notes(answer, order), *_corral_notes(answer, order)), tuple(map(_show_instead, instead))
    )


def offered_instead(answer: Quote, order: Order | None, ask: Ask, key: str) -> Instead | None:
    """What was offered under that key, worked out anew."""
    here = visit()
    stock = ask_shelves(here.session, answer, here.shop, here.goods, here.now, _number(order))
    return next((one for one in _instead(answer, stock, order, ask) if instead_key(one) == key), None)


def _instead(answer: Quote, stock: Stock, order: Order | None, ask: Ask) -> list[Instead]:
    here = visit()
    return instead_of(here.session, answer, stock, ask, here.shop, here.goods, here.now, _number(order))


def _corral_notes(answer: Quote, order: Order | None) -> Iterator[Note]:
    here = visit()
    corral = load_corral(here.session, here.shop.on_hand.corral_room, here.now, _number(order))
    if corral and (fit := fit_in_corral(answer, corral)):
        yield Note(corral_sentence(fit, here.formats), warns=fit.over is not None)


def _number(order: Order | None) -> int | None:
    return order.number if order else None


def instead_key(one: Instead) -> str:
    line = one.answer.wish.lines[one.line]
    return f"instead-{one.line}-{line.kind_id or 0}-{line.colours}"


def _short_note(short: Short) -> Note:
    return Note(short_sentence(short, visit().goods, visit().formats), is_short=True)


def _gas_notes(answer: Quote, order: Order | None) -> Iterator[Note]:
    """How long the helium lasts; nothing where no cylinder was entered, or it takes none."""
    here = visit()
    takes = any(plan.fill.of.gas is Gas.HELIUM for plan in answer.batches)
    outlook = gas_outlook(here.session, here.shop, here.now, answer, _number(order)) if takes else None
    if note := gas_note(outlook):
        yield Note(note.sentence, note.is_short)


def _show_instead(one: Instead) -> ShownInstead:
    price = visit().formats.difference(one.costs_minor)
    return ShownInstead(instead_key(one), instead_title(one), price, f"{one.free:,.10g} are free.")
