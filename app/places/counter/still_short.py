"""Counter: which alternatives leave something short, of an order for which stock is short."""

from collections.abc import Iterable
from dataclasses import replace

from app.actions.context import Context
from app.actions.stock.shortages import find_shortages
from app.places.counter.quote_view import ShownQuote
from app.places.counter.shown_alternatives import ShownAlternative, alternative_key
from app.quoting.alternatives import Alternative
from app.store.models import Order
from app.web.requests import request_context
from app.web.wording.answer import still_short_sentence
from app.web.wording.stock import short_words


def say_what_stays_short(
    context: Context, shown: ShownQuote, alternatives: Iterable[Alternative], order: Order | None
) -> ShownQuote:
    """Returns the quote with what each alternative leaves short; as it is if nothing in stock is short.

    alternatives: all that are shown. order: the order that is changed, if one is.
    """
    if "stock" not in shown.on_hand.short_topics:
        return shown
    words = {alternative_key(one): _still_short(context, one, order) for one in alternatives}

    def said(those: tuple[ShownAlternative, ...]) -> tuple[ShownAlternative, ...]:
        return tuple(replace(one, still_short=words.get(one.key, "")) for one in those)

    causes = tuple(replace(cause, alternatives=said(cause.alternatives)) for cause in shown.causes)
    bench = replace(shown.bench, alternatives=said(shown.bench.alternatives))
    return replace(shown, causes=causes, bench=bench)


def _still_short(context: Context, alternative: Alternative, order: Order | None) -> str:
    """Returns a sentence about what is short with this alternative; empty if nothing is."""
    here = request_context()
    stock = find_shortages(context, alternative.quote, order.number if order else None)
    return still_short_sentence([short_words(one, here.catalogue, here.formats) for one in stock.shortages])
