"""A quote as the counter shows it: each line with its float strips and sentences."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from app.actions.bench.alternatives import BenchAlternatives
from app.actions.bench.fit import BenchFit
from app.actions.records.batches import usable_window
from app.places.counter.quoted_money import QuotedMoney
from app.places.counter.stock_notes import ShownStockNotes
from app.planning.finishing import Fit
from app.quoting.allergy import avoids_latex
from app.quoting.alternatives import Alternative, AlternativeChange
from app.quoting.journey import trip_of
from app.quoting.parts import SoldLine
from app.quoting.quote import Quote
from app.quoting.reasons import reasons_of_plan
from app.quoting.request import HandOver
from app.quoting.runs import BatchPlan
from app.quoting.shop import Shop
from app.quoting.states import OrderPart
from app.web.drawings.float_strip import Strip, StripHours, layout
from app.web.formats import Formats
from app.web.wording.allergy import AllergyWarning, warn_of_quote
from app.web.wording.bench import bench_sentence, describe_extra_capacity
from app.web.wording.materials import MATERIAL_WORDS
from app.web.wording.orders import (
    VERDICTS,
    chance_sentence,
    foil_fill_level,
    hours_sentence,
    late_sentence,
    window_sentence,
)
from app.web.wording.outdoors import WeatherAdvice, advise_quote, describe_design_weight, weight_sentence
from app.web.wording.why import describe_reasons

ALTERNATIVE_CONDITIONS = {
    AlternativeChange.TREAT: "Filled a day ahead if need be; the coat dulls the shine a little.",
    AlternativeChange.LATER: "The caller comes, or is at home, at that hour.",
    AlternativeChange.LATER_PART: "The rest goes as agreed; the latex is handed over apart, at that hour.",
    AlternativeChange.LARGER: "Larger balloons, so a larger bouquet.",
    AlternativeChange.AIR: "They stand and do not float.",
}


BENCH_FIT_SENTENCES = {
    None: "",
    Fit.FITS: "",
    Fit.CANNOT: "The bench cannot make that beside the other orders.",
    Fit.NOT_FOUND: "No way was found to make that beside the other orders.",
}


@dataclass(frozen=True, slots=True)
class QuotedBatch:
    """A batch in words, with its float strip."""

    title: str
    verdict: str
    window: str
    chance: str
    why: tuple[str, ...]
    weight: str
    strip: Strip
    time_reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ShownAlternative:
    """key: what its button sends. condition: what it asks of the customer. bench: a sentence if the bench cannot
    make it either."""

    key: str
    title: str
    condition: str
    price: str
    window: str
    chance: str
    bench: str


@dataclass(frozen=True, slots=True)
class ShownLine:
    """without_latex: whether its alternatives are there because of an allergy."""

    title: str
    price: str
    batches: tuple[QuotedBatch, ...]
    weight: str
    alternatives: tuple[ShownAlternative, ...]
    without_latex: bool


@dataclass(frozen=True, slots=True)
class ShownQuote:
    """bench: what the bench says about the whole order. would_do: what of the shop's own would make it fit.
    more_staff: what to send to the page of the staff, if more staff would. bench_alternatives: other ways to make
    it."""

    verdict: str
    verdict_word: str
    hours: str
    closed: str
    late: str
    bench: str
    bench_fits: bool
    would_do: tuple[str, ...]
    more_staff: dict[str, str]
    bench_alternatives: tuple[ShownAlternative, ...]
    first_fill: str
    money: QuotedMoney
    on_hand: ShownStockNotes
    outdoors: tuple[WeatherAdvice, ...]
    allergy: AllergyWarning | None
    lines: tuple[ShownLine, ...]

    @property
    def needs_accepted_risk(self) -> bool:
        return self.verdict != "safe"


def show_quote(
    quote: Quote,
    quote_if_waiting: Quote | None,
    alternatives: Sequence[Alternative],
    fit: BenchFit,
    bench_alternatives: BenchAlternatives,
    money: QuotedMoney,
    on_hand: ShownStockNotes,
    shop: Shop,
    formats: Formats,
    now: datetime,
) -> ShownQuote:
    """Returns the quote as the counter shows it.

    quote_if_waiting: for a customer who waits, if the order is late. bench_alternatives: what would make it fit on
    the bench, if it does not.
    """
    return ShownQuote(
        verdict=quote.verdict,
        verdict_word=VERDICTS[quote.verdict],
        hours=hours_sentence(quote, formats),
        closed=_closed_at(quote, shop),
        late=late_sentence(quote, formats, quote_if_waiting),
        bench=bench_sentence(fit, bench_alternatives, formats),
        bench_fits=fit.fit is Fit.FITS,
        would_do=describe_extra_capacity(fit, bench_alternatives, formats),
        more_staff=_more_staff(bench_alternatives, formats),
        bench_alternatives=tuple(
            _show_alternative(option, shop, formats, now)
            for option in bench_alternatives.others
            if all(option.quote.request != one.quote.request for one in alternatives)
        ),
        first_fill=formats.moment(quote.first_fill_by) if len(quote.batches) > 1 else "",
        money=money,
        on_hand=on_hand,
        outdoors=advise_quote(quote, shop, formats),
        allergy=warn_of_quote(quote, can_be_replaced=_without_latex(alternatives, quote)),
        lines=tuple(
            ShownLine(
                title=f"{line.request.quantity} × {line.title}",
                price=formats.money(line.total_minor),
                batches=tuple(_show_batch(plan, quote, shop, formats, now) for plan in quote.batches_of(line)),
                weight=_design_weight(line, quote, formats),
                alternatives=tuple(
                    _show_alternative(option, shop, formats, now) for option in alternatives if option.line == place
                ),
                without_latex=avoids_latex(quote, place),
            )
            for place, line in enumerate(quote.lines)
        ),
    )


def _without_latex(alternatives: Sequence[Alternative], quote: Quote) -> bool:
    """Whether one of them is there because of an allergy."""
    return any(one.line is not None and avoids_latex(quote, one.line) for one in alternatives)


def _design_weight(line: SoldLine, quote: Quote, formats: Formats) -> str:
    if line.request.design_id is None:
        return ""
    grams = describe_design_weight(line.parts, line.request.quantity, quote.weights, formats)
    return f"Outdoors at least {grams} of weight on one whole {line.title}." if grams else ""


def alternative_key(alternative: Alternative) -> str:
    """Returns what the alternative's button sends."""
    if alternative.line is None:
        return f"bench-{alternative.key}"
    return f"alternative-{alternative.line}-{alternative.key}"


def _show_alternative(alternative: Alternative, shop: Shop, formats: Formats, now: datetime) -> ShownAlternative:
    quote = alternative.quote
    mine = quote.batches if alternative.line is None else quote.batches_of(quote.lines[alternative.line])
    worst = min(mine, key=lambda plan: plan.window.chance)
    shown = _show_batch(worst, quote, shop, formats, now)
    return ShownAlternative(
        key=alternative_key(alternative),
        title=_alternative_title(alternative, formats),
        condition=_condition(alternative, formats),
        price=formats.price_difference(alternative.costs_minor),
        window=shown.window,
        chance=shown.chance,
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
    leaves, back = formats.short_moment(trip.leaves_by, day), formats.short_moment(trip.back_at, day)
    set_up, hanging = formats.minutes(request.set_up_minutes), formats.minutes(request.hanging_minutes)
    return (
        f"The venue lets a crew of {request.crew} in at that hour. It leaves by {leaves}, sets up {set_up}, hangs"
        f" {hanging} and is back with helium point and cylinders about {back}: till then the bench goes without."
        " Cylinders stand upright and chained, in an aired room."
    )


def _alternative_title(alternative: Alternative, formats: Formats) -> str:
    quote = alternative.quote
    if alternative.change is AlternativeChange.TREAT:
        return "Treat them"
    if alternative.change is AlternativeChange.LATER:
        arrives = quote.request.arrives_at
        verb = "Deliver" if arrives else "Collect"
        return f"{verb} later: {formats.moment(arrives or quote.ready_by)}"
    if alternative.change is AlternativeChange.LATER_PART and quote.request.later_at:
        return f"The latex later: {formats.moment(quote.request.later_at)}"
    if alternative.change is AlternativeChange.VENUE and quote.request.arrives_at:
        return f"Fill at the venue, let in {formats.moment(quote.request.arrives_at)}"
    if alternative.change is AlternativeChange.AIR:
        return "With air, on a base or a stick"
    return f"{quote.lines[alternative.line or 0].title} instead"


def _closed_at(quote: Quote, shop: Shop) -> str:
    """Returns a sentence if the shop is closed when the order leaves. At the closing time itself it is still open,
    and a crew has a key."""
    if quote.request.hand_over is HandOver.VENUE:
        return ""
    leaves = {OrderPart.MAIN: quote.ready_by, OrderPart.LATER: quote.request.later_at}
    who = {
        (OrderPart.MAIN,): "they leave",
        (OrderPart.LATER,): "the later part leaves",
        (OrderPart.MAIN, OrderPart.LATER): "they leave and when the later part does",
    }.get(tuple(part for part in OrderPart if _is_closed(leaves[part], shop)))
    return f"The shop is closed when {who}: see that somebody is there." if who else ""


def _is_closed(leaves_at: datetime | None, shop: Shop) -> bool:
    if leaves_at is None:
        return False
    return not any(shop.opening.is_open(leaves_at - timedelta(minutes=back)) for back in (0, 1))


def _show_batch(plan: BatchPlan, quote: Quote, shop: Shop, formats: Formats, now: datetime) -> QuotedBatch:
    request = quote.request
    window = usable_window(plan.window.not_before, plan.window.inflate_by, plan.ready_by, request.hand_over, shop)
    until = request.lasts_until or plan.ready_by
    day = formats.local(plan.ready_by).date()
    sentence = window_sentence(window, formats, day, now)
    chance = chance_sentence(plan.window.chance, formats.short_moment(until, day), plan.fill.spec.gas)
    verdict = plan.window.verdict
    hours = StripHours(window, request.event_start, request.lasts_until, plan.fill.endurance, plan.legs, verdict)
    return QuotedBatch(
        title=f"{_title(plan, formats)}{', later part' if plan.fill.spec.part is OrderPart.LATER else ''}",
        verdict=verdict,
        window=sentence,
        chance=chance,
        why=plan.fill.size.why,
        weight=weight_sentence(plan.fill.weight_g, formats),
        strip=layout(hours, f"{sentence} {chance}", formats, now),
        time_reasons=describe_reasons(reasons_of_plan(plan, window, quote, shop), formats, day, now),
    )


def _title(plan: BatchPlan, formats: Formats) -> str:
    fill = plan.fill
    treated = ", treated" if fill.spec.treated else ""
    size = (
        foil_fill_level(fill.size.share)
        if not fill.balloon_type.stretches
        else f"to {formats.size(fill.size.diameter_in)}"
    )
    return f"{fill.quantity} × {fill.balloon_type.name}, {fill.spec.gas}, filled {size}{treated}"


def _more_staff(bench_alternatives: BenchAlternatives, formats: Formats) -> dict[str, str]:
    if bench_alternatives.extra_person is None:
        return {}
    start, end = (
        formats.local(bench_alternatives.extra_person.start),
        formats.local(bench_alternatives.extra_person.end),
    )
    return {"day": f"{start:%Y-%m-%d}", "from": f"{start:%H:%M}", "to": f"{end:%H:%M}", "by": "1"}
