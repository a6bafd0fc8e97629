"""A quote as the counter shows it: each line with its strips and sentences."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from app.actions.bench.alternatives import BenchWays
from app.actions.bench.fit import BenchFit
from app.actions.records.batches import usable_window
from app.actions.records.shop import Shop
from app.places.counter.quoted_money import ShownMoney
from app.places.counter.stock_notes import ShownOnHand
from app.planning.finishing import Fit
from app.quoting.alternatives import Remedy, Way
from app.quoting.journey import trip_of
from app.quoting.parts import SoldLine
from app.quoting.quote import Quote
from app.quoting.request import HandOver
from app.quoting.runs import BatchPlan
from app.web.drawings.float_strip import Hours, Strip, lay_out
from app.web.formats import Formats
from app.web.wording.bench import bench_sentence, would_do
from app.web.wording.orders import (
    VERDICTS,
    chance_sentence,
    film_size,
    hours_sentence,
    late_sentence,
    window_sentence,
)
from app.web.wording.outdoors import Advice, advise_quote, weight_sentence, whole_weight

REMEDY_ASKS = {
    Way.TREAT: "Filled a day ahead if need be; the coat dulls the shine a little.",
    Way.LATER: "The caller comes, or is at home, at that hour.",
    Way.LATER_PART: "The rest goes as agreed; the latex is handed over apart, at that hour.",
    Way.LARGER: "Larger balloons, so a larger bouquet.",
    Way.FOIL: "Foil in place of latex: other shapes and colours.",
    Way.SPHERE: "Clear spheres in place of latex.",
    Way.AIR: "They stand and do not float.",
}


NO_WAY_OUT = {
    None: "",
    Fit.FITS: "",
    Fit.CANNOT: "The bench cannot make that beside the other orders.",
    Fit.NOT_FOUND: "No way was found to make that beside the other orders.",
}


@dataclass(frozen=True, slots=True)
class ShownBatch:
    title: str
    verdict: str
    window: str
    chance: str
    why: tuple[str, ...]
    weight: str
    strip: Strip


@dataclass(frozen=True, slots=True)
class ShownRemedy:
    """key: what its button sends. asks: what it asks of the customer. bench: a sentence where the bench cannot make
    that either."""

    key: str
    title: str
    asks: str
    price: str
    window: str
    chance: str
    bench: str


@dataclass(frozen=True, slots=True)
class ShownLine:
    title: str
    price: str
    batches: tuple[ShownBatch, ...]
    weight: str
    remedies: tuple[ShownRemedy, ...]


@dataclass(frozen=True, slots=True)
class ShownQuote:
    """bench: what the bench as a whole says. would_do: what of the shop's own would make it fit. more_hand: what to
    ask the page of hands, where one would. ways: other ways to make it. needs_word: a promise that is not safe is
    made only with the caller's word."""

    verdict: str
    verdict_word: str
    hours: str
    closed: str
    late: str
    bench: str
    bench_fits: bool
    would_do: tuple[str, ...]
    more_hand: dict[str, str]
    ways: tuple[ShownRemedy, ...]
    first_fill: str
    money: ShownMoney
    on_hand: ShownOnHand
    outdoors: tuple[Advice, ...]
    lines: tuple[ShownLine, ...]

    @property
    def needs_word(self) -> bool:
        return self.verdict != "safe"


def show_quote(
    answer: Quote,
    waited: Quote | None,
    remedies: Sequence[Remedy],
    fit: BenchFit,
    ways: BenchWays,
    money: ShownMoney,
    on_hand: ShownOnHand,
    shop: Shop,
    formats: Formats,
    now: datetime,
) -> ShownQuote:
    """waited: the same for a customer who waits, where the order is late by itself. ways: to make it fit on the
    bench, where it does not."""
    return ShownQuote(
        verdict=answer.verdict,
        verdict_word=VERDICTS[answer.verdict],
        hours=hours_sentence(answer, formats),
        closed=_closed_at(answer, shop),
        late=late_sentence(answer, formats, waited),
        bench=bench_sentence(fit, ways, formats),
        bench_fits=fit.fit is Fit.FITS,
        would_do=would_do(fit, ways, formats),
        more_hand=_more_hand(ways, formats),
        ways=tuple(
            _show_remedy(way, shop, formats, now)
            for way in ways.others
            if all(way.answer.wish != one.answer.wish for one in remedies)
        ),
        first_fill=formats.moment(answer.first_fill_by) if len(answer.batches) > 1 else "",
        money=money,
        on_hand=on_hand,
        outdoors=advise_quote(answer, shop, formats),
        lines=tuple(
            ShownLine(
                title=f"{line.wish.quantity} × {line.title}",
                price=formats.money(line.total_minor),
                batches=tuple(_show_batch(plan, answer, shop, formats, now) for plan in answer.batches_of(line)),
                weight=_design_weight(line, answer, formats),
                remedies=tuple(_show_remedy(way, shop, formats, now) for way in remedies if way.line == place),
            )
            for place, line in enumerate(answer.lines)
        ),
    )


def _design_weight(line: SoldLine, answer: Quote, formats: Formats) -> str:
    if line.wish.design_id is None:
        return ""
    grams = whole_weight(line.parts, line.wish.quantity, answer.weights, formats)
    return f"Outdoors at least {grams} of weight on one whole {line.title}." if grams else ""


def remedy_key(remedy: Remedy) -> str:
    return f"bench-{remedy.way}" if remedy.line is None else f"remedy-{remedy.line}-{remedy.way}"


def _show_remedy(remedy: Remedy, shop: Shop, formats: Formats, now: datetime) -> ShownRemedy:
    answer = remedy.answer
    mine = answer.batches if remedy.line is None else answer.batches_of(answer.lines[remedy.line])
    worst = min(mine, key=lambda plan: plan.window.chance)
    shown = _show_batch(worst, answer, shop, formats, now)
    return ShownRemedy(
        key=remedy_key(remedy),
        title=_remedy_title(remedy, formats),
        asks=_asks(remedy, formats),
        price=formats.difference(remedy.costs_minor),
        window=shown.window,
        chance=shown.chance,
        bench=NO_WAY_OUT[remedy.fit],
    )


def _asks(remedy: Remedy, formats: Formats) -> str:
    wish = remedy.answer.wish
    trip = trip_of(wish)
    if trip is None or remedy.way is not Way.VENUE:
        return REMEDY_ASKS[remedy.way]
    day = formats.local(trip.access).date()
    leaves, back = formats.beside(trip.leaves_by, day), formats.beside(trip.back_at, day)
    set_up, hanging = formats.minutes(wish.set_up_minutes), formats.minutes(wish.hanging_minutes)
    return (
        f"The venue lets a crew of {wish.crew} in at that hour. It leaves by {leaves}, sets up {set_up}, hangs"
        f" {hanging} and is back with helium point and cylinders about {back}: till then the bench goes without."
        " Cylinders stand upright and chained, in an aired room."
    )


def _remedy_title(remedy: Remedy, formats: Formats) -> str:
    answer = remedy.answer
    if remedy.way is Way.TREAT:
        return "Treat them"
    if remedy.way is Way.LATER:
        arrives = answer.wish.arrives_at
        verb = "Deliver" if arrives else "Collect"
        return f"{verb} later: {formats.moment(arrives or answer.ready_by)}"
    if remedy.way is Way.LATER_PART and answer.wish.later_at:
        return f"The latex later: {formats.moment(answer.wish.later_at)}"
    if remedy.way is Way.VENUE and answer.wish.arrives_at:
        return f"Fill at the venue, let in {formats.moment(answer.wish.arrives_at)}"
    if remedy.way is Way.AIR:
        return "With air, on a base or a stick"
    return f"{answer.lines[remedy.line or 0].title} instead"


def _closed_at(answer: Quote, shop: Shop) -> str:
    """A sentence where nobody is there to hand it over; the closing hour itself is still open. A crew has a key."""
    if answer.wish.hand_over is HandOver.VENUE:
        return ""
    first, later = _is_closed(answer.ready_by, shop), _is_closed(answer.wish.later_at, shop)
    who = {
        (True, False): "they leave",
        (False, True): "the later part leaves",
        (True, True): "they leave and when the later part does",
    }.get((first, later))
    return f"The shop is closed when {who}: see that somebody is there." if who else ""


def _is_closed(leaves_at: datetime | None, shop: Shop) -> bool:
    if leaves_at is None:
        return False
    return not any(shop.opening.is_open(leaves_at - timedelta(minutes=back)) for back in (0, 1))


def _show_batch(plan: BatchPlan, answer: Quote, shop: Shop, formats: Formats, now: datetime) -> ShownBatch:
    wish = answer.wish
    window = usable_window(plan.window.not_before, plan.window.inflate_by, plan.ready_by, wish.hand_over, shop)
    until = wish.lasts_until or plan.ready_by
    day = formats.local(plan.ready_by).date()
    sentence = window_sentence(window, formats, day, now)
    chance = chance_sentence(plan.window.chance, formats.beside(until, day), plan.fill.of.gas)
    verdict = plan.window.verdict
    hours = Hours(window, wish.event_start, wish.lasts_until, plan.fill.endurance, plan.legs, verdict)
    return ShownBatch(
        title=f"{_title(plan, formats)}{', later part' if plan.fill.of.later else ''}",
        verdict=verdict,
        window=sentence,
        chance=chance,
        why=plan.fill.size.why,
        weight=weight_sentence(plan.fill.weight_g, formats),
        strip=lay_out(hours, f"{sentence} {chance}", formats, now),
    )


def _title(plan: BatchPlan, formats: Formats) -> str:
    fill = plan.fill
    treated = ", treated" if fill.of.treated else ""
    size = film_size(fill.size.share) if not fill.kind.stretches else f"to {formats.size(fill.size.diameter_in)}"
    return f"{fill.quantity} × {fill.kind.name}, {fill.of.gas}, filled {size}{treated}"


def _more_hand(ways: BenchWays, formats: Formats) -> dict[str, str]:
    if ways.hand is None:
        return {}
    start, end = formats.local(ways.hand.start), formats.local(ways.hand.end)
    return {"day": f"{start:%Y-%m-%d}", "from": f"{start:%H:%M}", "to": f"{end:%H:%M}", "by": "1"}
