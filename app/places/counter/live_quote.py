"""Counter: the answer to a wish, worked out in full, and the offers in it that can be pressed."""

from app.actions.bench.alternatives import Asking, check_remedies, ways_to_fit
from app.actions.bench.fit import load_bench
from app.actions.errors import Refused
from app.actions.records.rebuild_request import standing_of
from app.actions.stock.substitutes import Instead
from app.places.counter.quote_view import ShownQuote, remedy_key, show_quote
from app.places.counter.quoted_money import show_money
from app.places.counter.stock_notes import offered_instead, show_on_hand
from app.quoting.alternatives import Ask, Remedy, remedies
from app.quoting.checks import check_hours
from app.quoting.order_cost import floor_total
from app.quoting.quote import NEW, Quote, quote, waited
from app.quoting.request import OrderWish
from app.store.models import Order
from app.web.requests import visit


def answer_to(wish: OrderWish, order: Order | None) -> ShownQuote:
    """order: the one that is changed, if one is. Raises Refused."""
    here, ask = visit(), _ask(order)
    answer = ask(wish)
    asking = _asking(answer, order)
    fit = asking.fit(answer)
    ways = ways_to_fit(answer, fit, ask, asking, here.shop)
    found = check_remedies(remedies(answer, ask, here.shop, here.goods, here.now), asking)
    wait = waited(answer, here.shop, here.goods, here.now, standing_of(order) if order else NEW)
    money = show_money(answer, _floor(answer, order), here.formats)
    on_hand = show_on_hand(answer, order, ask)
    return show_quote(answer, wait, found, fit, ways, money, on_hand, here.shop, here.formats, here.now)


def _floor(answer: Quote, order: Order | None) -> int | None:
    """A price that was agreed is not measured against what things cost since."""
    if order is not None and order.total_minor == answer.total_minor:
        return None
    return floor_total(answer, visit().goods, visit().shop)


def offered(wish: OrderWish, order: Order | None, key: str) -> Remedy | Instead | None:
    """What was offered under that key, worked out anew."""
    here, ask = visit(), _ask(order)
    try:
        answer = ask(wish)
    except Refused:
        return None
    if key.startswith("instead-"):
        return offered_instead(answer, order, ask, key)
    if key.startswith("remedy-"):
        found = remedies(answer, ask, here.shop, here.goods, here.now)
    else:
        asking = _asking(answer, order)
        found = [*ways_to_fit(answer, asking.fit(answer), ask, asking, here.shop).others]
    return next((remedy for remedy in found if remedy_key(remedy) == key), None)


def _asking(answer: Quote, order: Order | None) -> Asking:
    here = visit()
    return Asking(load_bench(here.session, here.shop, here.now, answer, order.number if order else None))


def _ask(order: Order | None) -> Ask:
    """The quote as this counter asks for it: lines already sold and batches already begun stay."""
    here = visit()
    standing = standing_of(order) if order else NEW

    def ask(wish: OrderWish) -> Quote:
        check_hours(wish, here.now, order)
        return quote(wish, here.shop, here.goods, here.now, standing)

    return ask
