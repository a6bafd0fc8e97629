"""The alternatives as the counter shows them: what each does, what it costs, and whether it can be made."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from app.places.counter.shown_batches import show_quoted_batch
from app.planning.finishing import Fit
from app.quoting.allergy import avoids_latex
from app.quoting.alternatives import Alternative, AlternativeChange, line_verdict
from app.quoting.journey import trip_of
from app.quoting.quote import Quote
from app.quoting.shop import Shop
from app.web.formats import Formats
from app.web.wording.materials import MATERIAL_WORDS

ALTERNATIVE_CONDITIONS = {
    AlternativeChange.TREAT: "Treated balloons may be filled a day ahead. The coating makes them less shiny.",
    AlternativeChange.LATER: "Ask whether that time suits the caller.",
    AlternativeChange.LATER_PART: "The rest is handed over as agreed.",
    AlternativeChange.LARGER: "Larger balloons make a larger bouquet.",
    AlternativeChange.AIR: "They stand and do not float.",
}


BENCH_FIT_SENTENCES = {
    None: "",
    Fit.FITS: "",
    Fit.CANNOT: "Can't be ready in time.",
    Fit.NOT_FOUND: "May not be ready in time.",
}


@dataclass(frozen=True, slots=True)
class ShownAlternative:
    """key: what its button sends. verdict: of what it changes. condition: what it asks of the customer. fit: what
    the bench says to it. bench: a sentence if the bench cannot make it either."""

    key: str
    title: str
    verdict: str
    condition: str
    price: str
    window: str
    chance: str
    fit: str
    bench: str


def without_latex(alternatives: Sequence[Alternative], quote: Quote) -> bool:
    """Whether one of them is there because of an allergy."""
    return any(one.line is not None and avoids_latex(quote, one.line) for one in alternatives)


def alternative_key(alternative: Alternative) -> str:
    """Returns what the alternative's button sends."""
    if alternative.line is None:
        return f"bench-{alternative.key}"
    return f"alternative-{alternative.line}-{alternative.key}"


def show_alternative(alternative: Alternative, shop: Shop, formats: Formats, now: datetime) -> ShownAlternative:
    quote = alternative.quote
    mine = quote.batches if alternative.line is None else quote.batches_of(quote.lines[alternative.line])
    worst = min(mine, key=lambda plan: (-plan.window.verdict.rank, plan.window.chance))
    shown = show_quoted_batch(worst, quote, shop, formats, now)
    return ShownAlternative(
        key=alternative_key(alternative),
        title=alternative_title(alternative, formats),
        verdict=quote.float_verdict if alternative.line is None else line_verdict(quote, alternative.line),
        condition=_condition(alternative, formats),
        price=formats.price_difference(alternative.costs_minor),
        window=shown.window,
        chance=shown.chance,
        fit=alternative.fit or "",
        bench=BENCH_FIT_SENTENCES[alternative.fit],
    )


def _condition(alternative: Alternative, formats: Formats) -> str:
    request = alternative.quote.request
    if alternative.material:
        return MATERIAL_WORDS[alternative.material].substitute_note
    trip = trip_of(request)
    if trip is None or alternative.change is not AlternativeChange.VENUE:
        return ALTERNATIVE_CONDITIONS[alternative.change]
    day = formats.local(trip.access).date()
    leaves = formats.short_moment(alternative.quote.leaves_at, day)
    back = formats.short_moment(trip.back_at, day)
    set_up, hanging = formats.minutes(request.set_up_minutes), formats.minutes(request.hanging_minutes)
    return (
        f"Ask the venue whether a crew of {request.crew} can enter then. It leaves by {leaves}, sets up for"
        f" {set_up}, hangs for {hanging} and is back about {back}. Until then the bench has one filling"
        " point fewer."
        " Keep cylinders upright and chained, in a ventilated room."
    )


def alternative_title(alternative: Alternative, formats: Formats) -> str:
    quote = alternative.quote
    if alternative.change is AlternativeChange.TREAT:
        return "Treat them"
    if alternative.change is AlternativeChange.LATER:
        arrives = quote.request.arrives_at
        verb = "Deliver" if arrives else "Collect"
        return f"{verb} {formats.moment(arrives or quote.ready_by)}"
    if alternative.change is AlternativeChange.LATER_PART and quote.request.later_at:
        at = quote.request.later_at + timedelta(minutes=quote.request.travel_minutes)
        verb = "delivered" if quote.request.arrives_at else "collected"
        return f"Latex {verb} later: {formats.moment(at)}"
    if alternative.change is AlternativeChange.VENUE and quote.request.arrives_at:
        return f"Fill at the venue from {formats.moment(quote.request.arrives_at)}"
    if alternative.change is AlternativeChange.AIR:
        return "Fill with air, on a base or stick"
    return f"Use {quote.lines[alternative.line or 0].title}"
