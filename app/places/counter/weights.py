"""Counter: the weights that the answer asks for outdoors, added to the extras with one press."""

from dataclasses import dataclass

from app.actions.orders.answer import quoting_function
from app.actions.stock.weights import WeightOffer, find_weights
from app.places.counter.forms import OrderForm
from app.places.counter.prefill import add_extra
from app.quoting.errors import Refused
from app.quoting.quote import Quote
from app.quoting.request import ExtraSort, OrderRequest
from app.store.models import Order
from app.web.formats import Formats
from app.web.requests import request_context
from app.web.wording.weights import too_heavy_words, weights_to_add_words


@dataclass(frozen=True, slots=True)
class ShownWeights:
    """words: of the button that adds them, empty if no weight is heavy enough. counts: how many are added, by
    supply. price: of all that is added. too_heavy: a sentence for each need that no weight meets."""

    words: str
    counts: tuple[tuple[int, int], ...]
    price: str
    too_heavy: tuple[str, ...]


def weights_for(quote: Quote, order: Order | None) -> WeightOffer | None:
    """Returns the weights that the quote still needs; None if it needs none. order: the one that is changed."""
    return find_weights(request_context().context, quote, order.number if order else None)


def show_weights(offer: WeightOffer | None, formats: Formats) -> ShownWeights | None:
    """Returns the offer as the answer shows it; None if no weights are needed."""
    if offer is None:
        return None
    cost = sum(count * (row.price_minor or 0) for row, count in offer.chosen)
    return ShownWeights(
        words=weights_to_add_words(offer) if offer.chosen else "",
        counts=tuple((row.id, count) for row, count in offer.chosen),
        price=formats.money(cost),
        too_heavy=tuple(too_heavy_words(need, formats) for need in offer.too_heavy),
    )


def add_weights(form: OrderForm, request: OrderRequest, order: Order | None) -> None:
    """Adds the weights to the extras; a row that has the same one at the shop's price gets more of it. Adds none if
    there is no answer to the request."""
    try:
        offer = weights_for(quoting_function(request_context().context, order)(request), order)
    except Refused:
        return
    for row, count in offer.chosen if offer else ():
        _add(form, f"{ExtraSort.SUPPLY}:{row.id}", count)


def _add(form: OrderForm, key: str, count: int) -> None:
    """Adds so many of an extra to the form."""
    for entry in form.extras:
        extra = entry.form
        if extra.what.data == key and not (extra.each.data or "").strip():
            extra.quantity.data = str(int(extra.quantity.data or 1) + count)
            form.focus = extra.quantity.name
            return
    add_extra(form, key)
    form.extras[-1].form.quantity.data = str(count)
