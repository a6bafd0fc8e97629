"""The alternatives as the counter shows them: what each does, what it costs, and whether it can be made."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from app.physics.material import Material
from app.places.counter.shown_batches import show_quoted_batch
from app.planning.finishing import Fit
from app.quoting.allergy import avoids_latex
from app.quoting.alternatives import Alternative
from app.quoting.journey import trip_of
from app.quoting.quote import Quote
from app.quoting.request import HandOver
from app.quoting.shop import Shop
from app.quoting.ways import AlternativeChange, Change
from app.web.formats import Formats
from app.web.wording.materials import MATERIAL_WORDS

ALTERNATIVE_CONDITIONS = {
    AlternativeChange.TREAT: "Treated balloons may be filled a day ahead. The treatment makes them less shiny.",
    AlternativeChange.LATER: "Ask whether that time suits the caller.",
    AlternativeChange.LARGER: "Larger balloons make a larger bouquet.",
    AlternativeChange.AIR: "They stand and do not float.",
    AlternativeChange.SHADE: "Ask whether everything can stand in the shade.",
    AlternativeChange.INDOORS: "Ask whether everything can be moved indoors.",
}
TWO_TRIPS = {
    HandOver.COLLECT: "The rest is collected as agreed: the customer comes twice.",
    HandOver.DELIVER: "The rest is delivered as agreed: two trips.",
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
    the bench says to it. bench: a sentence if the bench cannot make it either. of_line: the number of
    the line that it changes, if others have alternatives of their own. still_short: a sentence about what stays
    short in stock; empty if nothing does."""

    key: str
    title: str
    verdict: str
    condition: str
    price: str
    window: str
    chance: str
    fit: str
    bench: str
    of_line: int | None = None
    still_short: str = ""


@dataclass(frozen=True, slots=True)
class ShownCause:
    """A reason why lines are not safe, with what would cure it, the cheapest first. key: “float” or “allergy”."""

    key: str
    alternatives: tuple[ShownAlternative, ...]


def causes_of_lines(
    alternatives: Sequence[Alternative], quote: Quote, shop: Shop, formats: Formats, now: datetime
) -> tuple[ShownCause, ...]:
    """Returns why lines are not safe, with the alternatives of all lines. What two lines need alike stands once.

    What the bench cannot make stands last; of two at one price, the one that makes the whole order safer is first.
    """
    found: dict[str, list[Alternative]] = {}

    def rank(one: Alternative) -> tuple[bool, int, int]:
        return one.fit not in (None, Fit.FITS), one.costs_minor, one.quote.float_verdict.rank

    offered = sorted(alternatives, key=rank)
    for one in offered:
        of_cause = found.setdefault(
            "allergy" if one.line is not None and avoids_latex(quote, one.line) else "float", []
        )
        if all(one.quote.request != other.quote.request for other in of_cause):
            of_cause.append(one)
    named = len({one.line for one in offered}) > 1
    return tuple(
        ShownCause(key, tuple(_show_for_line(one, quote, shop, formats, now, is_named=named) for one in of_cause))
        for key, of_cause in found.items()
    )


def _show_for_line(
    one: Alternative, quote: Quote, shop: Shop, formats: Formats, now: datetime, *, is_named: bool
) -> ShownAlternative:
    """Returns the alternative. is_named: whether it names the line that it changes, unless it changes the hours of
    them all."""
    shown = show_alternative(one, shop, formats, now)
    if not is_named or one.line is None or one.quote.request.lines[one.line] == quote.request.lines[one.line]:
        return shown
    return replace(shown, of_line=one.line + 1)


def without_latex(alternatives: Sequence[Alternative], quote: Quote) -> bool:
    """Whether one of them is there because of an allergy."""
    return any(one.line is not None and avoids_latex(quote, one.line) for one in alternatives)


def alternative_key(alternative: Alternative) -> str:
    """Returns what the alternative's button sends."""
    if alternative.line is None:
        return f"bench-{alternative.key}"
    return f"alternative-{alternative.line}-{alternative.key}"


def show_alternative(alternative: Alternative, shop: Shop, formats: Formats, now: datetime) -> ShownAlternative:
    """Returns the alternative as the counter shows it, with the window of its tightest batch."""
    shown = show_quoted_batch(alternative.tightest, alternative.quote, shop, formats, now)
    return ShownAlternative(
        key=alternative_key(alternative),
        title=alternative_title(alternative, formats),
        verdict=alternative.verdict,
        condition=" ".join(_condition(change, alternative, formats) for change in alternative.changes),
        price=formats.price_difference(alternative.costs_minor),
        window=shown.window,
        chance=shown.chance,
        fit=alternative.fit or "",
        bench=BENCH_FIT_SENTENCES[alternative.fit],
    )


def _condition(change: Change, alternative: Alternative, formats: Formats) -> str:
    """Returns what the change asks of the customer."""
    request = alternative.quote.request
    if isinstance(change, Material):
        return MATERIAL_WORDS[change].substitute_note
    if change is AlternativeChange.LATER_PART:
        return TWO_TRIPS[request.hand_over]
    trip = trip_of(request)
    if trip is None or change is not AlternativeChange.VENUE:
        return ALTERNATIVE_CONDITIONS[change]
    day = formats.local(trip.access).date()
    leaves = formats.short_moment(alternative.quote.leaves_at, day)
    back = formats.short_moment(trip.back_at, day)
    set_up, hanging = formats.minutes(request.set_up_minutes), formats.minutes(request.hanging_minutes)
    return (
        f"Ask the venue whether a crew of {request.crew} can enter then. The crew leaves by {leaves}, sets up for"
        f" {set_up}, hangs for {hanging} and is back about {back}. Until then the bench has one filling"
        " point fewer."
        " Keep cylinders upright and chained, in a ventilated room."
    )


def alternative_title(alternative: Alternative, formats: Formats) -> str:
    """“Use 16 in latex, and treat them”: what the alternative changes."""
    first, *others = (_change_title(change, alternative, formats) for change in alternative.changes)
    return "".join([first, *(f", and {other[0].lower()}{other[1:]}" for other in others)])


CHANGE_TITLES = {
    AlternativeChange.TREAT: "Treat them",
    AlternativeChange.SHADE: "Put them in the shade",
    AlternativeChange.INDOORS: "Move them indoors",
    AlternativeChange.AIR: "Fill with air, on a base or stick",
}


def _change_title(change: Change, alternative: Alternative, formats: Formats) -> str:
    """Returns what one change does."""
    if isinstance(change, AlternativeChange) and change in CHANGE_TITLES:
        return CHANGE_TITLES[change]
    quote, request = alternative.quote, alternative.quote.request
    if change is AlternativeChange.LATER:
        verb = "Deliver" if request.arrives_at else "Collect"
        return f"{verb} {formats.moment(request.arrives_at or quote.ready_by)}"
    if change is AlternativeChange.LATER_PART and request.later_at:
        at = request.later_at + timedelta(minutes=request.travel_minutes)
        verb = "deliver" if request.arrives_at else "collect"
        return f"Second trip: {verb} the latex {formats.moment(at)}"
    if change is AlternativeChange.VENUE and request.arrives_at:
        return f"Fill at the venue from {formats.moment(request.arrives_at)}"
    return f"Use {', '.join(_new_balloons(alternative))}"


def _new_balloons(alternative: Alternative) -> list[str]:
    """Returns the names of the balloons that replace the line's own."""
    line = alternative.quote.request.lines[alternative.line or 0]
    new = {line.balloon_type_id, *(swap.now for swap in line.swaps)}
    fills = (batch.fill for batch in alternative.batches)
    return list(dict.fromkeys(fill.balloon_type.name for fill in fills if fill.spec.balloon_type_id in new))
