"""A quote as the counter shows it: the verdict and the price, then only what is wrong; details on request."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from app.actions.bench.alternatives import BenchAlternatives
from app.actions.bench.fit import BenchFit
from app.places.counter.quoted_money import QuotedMoney
from app.places.counter.shown_alternatives import (
    ShownAlternative,
    ShownCause,
    causes_of_lines,
    show_alternative,
    without_latex,
)
from app.places.counter.shown_batches import time_attribute
from app.places.counter.shown_lines import ShownLine, show_lines
from app.places.counter.stock_notes import ShownStockNotes
from app.planning.finishing import Fit
from app.planning.window import Verdict
from app.quoting.alternatives import Alternative
from app.quoting.quote import Quote
from app.quoting.request import HandOver
from app.quoting.shop import Shop
from app.quoting.states import OrderPart
from app.quoting.ways import AlternativeChange
from app.web.formats import Formats
from app.web.wording.allergy import AllergyWarning, warn_of_quote
from app.web.wording.answer import (
    can_make_words,
    closed_sentence,
    fine_sentence,
    hours_sentence,
    late_sentence,
    short_headline,
)
from app.web.wording.bench import (
    bench_details,
    bench_problem,
    extra_person_words,
    extra_point_sentence,
    first_time_sentence,
)
from app.web.wording.outcome import FLOAT_VERDICTS, VERDICTS
from app.web.wording.outdoors import WeatherAdvice, advise_quote


@dataclass(frozen=True, slots=True)
class ShownBench:
    """What the bench says about the whole order.

    state: whether it can be ready in time. words: the same for the headline. problem: why it cannot; empty if it
    can. late: what happens if it is started now although it is too late, and ready_at: when it is ready then.
    first_time: the first later time that fits; empty if none was found, or if it is not needed. extra_person: what
    one more person would do, with the page of the staff in more_staff. alternatives: other ways to make it.
    details: what else is known. competing, already_unfit: numbers of orders.
    """

    state: str
    words: str
    problem: str
    late: str
    ready_at: str
    first_time: str
    first_time_sentence: str
    extra_person: str
    more_staff: dict[str, str]
    extra_point: str
    alternatives: tuple[ShownAlternative, ...]
    details: tuple[str, ...]
    competing: tuple[str, ...]
    already_unfit: tuple[str, ...]

    @property
    def fits(self) -> bool:
        return self.state == Fit.FITS

    @property
    def is_in_time(self) -> bool:
        """Whether the order fits, and there is still time to start it."""
        return self.fits and not self.late


@dataclass(frozen=True, slots=True)
class ShownQuote:
    """verdict: whether they float to the end; whether they can be ready is in bench. short: what is missing, for
    the headline. fine: one sentence about all that is fine, with its reasons in evidence. causes: what makes lines
    unsafe, each with what would cure it. surplus: questions."""

    verdict: Verdict
    verdict_word: str
    short: str
    hours: str
    closed: str
    closed_parts: tuple[OrderPart, ...]
    bench: ShownBench
    fine: str
    evidence: tuple[str, ...]
    money: QuotedMoney
    on_hand: ShownStockNotes
    outdoors: tuple[WeatherAdvice, ...]
    allergy: AllergyWarning | None
    lines: tuple[ShownLine, ...]
    causes: tuple[ShownCause, ...]
    surplus: tuple[str, ...] = ()

    @property
    def can_make(self) -> bool:
        """Whether the bench can have it ready in time, and nothing is short."""
        return self.bench.is_in_time and not self.short

    @property
    def worst(self) -> Verdict:
        """The worse of float verdict and of whether it can be made, for the colour."""
        return self.verdict if self.can_make else Verdict.WONT_LAST

    @property
    def headline(self) -> tuple[tuple[str, str], ...]:
        """What the answer is headed with, each with its sign: what cannot be made, what is short, and the float
        verdict unless it is the only good news."""
        late = "" if self.bench.is_in_time else self.bench.words
        cannot = [(sign, words) for sign, words in (("cant-make", late), ("short", self.short)) if words]
        said = FLOAT_VERDICTS[self.verdict] if cannot else self.verdict_word
        floats = [(self.verdict, said)] if not cannot or self.verdict is not Verdict.SAFE else []
        return (*cannot, *floats)

    @property
    def beside(self) -> tuple[str, ...]:
        """What is fine besides the headline."""
        floats = FLOAT_VERDICTS[self.verdict] if self.verdict is Verdict.SAFE and not self.can_make else ""
        ready = self.bench.words if self.bench.is_in_time else ""
        return tuple(words for words in (floats, ready) if words)

    @property
    def needs_accepted_risk(self) -> bool:
        return self.verdict is not Verdict.SAFE

    @property
    def needed_reasons(self) -> tuple[str, ...]:
        """The fields that must be filled in before the order can be saved."""
        needed = {
            "accepted_risk": self.needs_accepted_risk,
            "bench_override": not self.bench.is_in_time,
            "stock_override": self.on_hand.is_short,
            "surplus": bool(self.surplus),
        }
        return tuple(name for name, is_needed in needed.items() if is_needed)


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
    """Returns the quote as the counter shows it. quote_if_waiting: for a customer who waits, if the order is late.
    bench_alternatives: what would make it fit on the bench, if it does not."""
    others = tuple(
        show_alternative(option, shop, formats, now)
        for option in sorted(bench_alternatives.others, key=lambda one: one.costs_minor)
        if all(option.quote.request != one.quote.request for one in alternatives)
    )
    is_late = fit.fit is not Fit.FITS or quote.crew_is_late  # several people may make what one would be late with
    late = late_sentence(quote, formats, now, quote_if_waiting) if is_late else ""
    closed_parts = _closed_parts(quote, shop)
    bench = _show_bench(quote, fit, bench_alternatives, others, late, shop, formats, now)
    fine = [note.topic for note in on_hand.fine if all(one.topic != note.topic for one in on_hand.wrong)]
    return ShownQuote(
        verdict=quote.float_verdict,
        verdict_word=VERDICTS[quote.float_verdict],
        short=short_headline([note.short for note in on_hand.wrong if note.short]),
        hours=hours_sentence(quote, formats),
        closed=closed_sentence(closed_parts, _closed_days_of(closed_parts, quote, shop), formats),
        closed_parts=closed_parts,
        bench=bench,
        fine=fine_sentence([*(["bench"] if bench.is_in_time else []), *dict.fromkeys(fine)]),
        evidence=(
            *(bench.details if bench.is_in_time else ()),
            *_first_fill(quote, formats),
            *(note.sentence for note in on_hand.fine),
        ),
        money=money,
        on_hand=on_hand,
        outdoors=advise_quote(quote, shop, formats),
        allergy=warn_of_quote(quote, can_be_replaced=without_latex(alternatives, quote)),
        lines=show_lines(quote, shop, formats, now),
        causes=causes_of_lines(alternatives, quote, shop, formats, now),
    )


def _show_bench(
    quote: Quote,
    fit: BenchFit,
    alternatives: BenchAlternatives,
    others: tuple[ShownAlternative, ...],
    late: str,
    shop: Shop,
    formats: Formats,
    now: datetime,
) -> ShownBench:
    """Returns what the bench says. others: the alternatives that are offered for its sake."""
    fits = fit.fit is Fit.FITS
    later = alternatives.later_quote
    first = (later.request.arrives_at or later.leaves_at) if later else None
    offers_later = any(one.key == f"bench-{AlternativeChange.LATER}" for one in others)
    ready_by = (quote.late_run or quote).ready_by
    return ShownBench(
        state=fit.fit,
        words=can_make_words(Fit.CANNOT if late else fit.fit, ready_by, formats, now),
        problem=bench_problem(fit, formats),
        late=late,
        first_time=time_attribute(first, formats),
        ready_at=time_attribute(quote.ready_at if late else None, formats),
        first_time_sentence="" if fits or offers_later else first_time_sentence(alternatives, formats),
        extra_person=extra_person_words(alternatives, formats),
        more_staff=_more_staff(alternatives, shop, formats),
        extra_point=extra_point_sentence(fit, alternatives),
        alternatives=others,
        details=bench_details(fit),
        competing=fit.others,
        already_unfit=fit.already_unfit,
    )


def _first_fill(quote: Quote, formats: Formats) -> tuple[str, ...]:
    """Returns when one person must start the first fill, if there are several."""
    first = f"If one person fills the whole order, they must start by {formats.moment(quote.first_fill_by)}."
    return (first,) if len(quote.batches) > 1 else ()


def _closed_parts(quote: Quote, shop: Shop) -> tuple[OrderPart, ...]:
    """Returns the parts that leave while the shop is closed. At the closing time itself it is still open, and a
    crew has a key."""
    if quote.request.hand_over is HandOver.VENUE:
        return ()
    leaves = {OrderPart.MAIN: quote.ready_by, OrderPart.LATER: quote.request.later_at}
    return tuple(part for part in OrderPart if _is_closed(leaves[part], shop))


def _closed_days_of(parts: tuple[OrderPart, ...], quote: Quote, shop: Shop) -> list[tuple[date, str]]:
    """Returns the dates on which these parts leave, with why the shop is closed then, where it has said why."""
    leaves = {OrderPart.MAIN: quote.ready_by, OrderPart.LATER: quote.request.later_at}
    days = {shop.opening.day_of(moment) for part in parts if (moment := leaves[part])}
    return [(day, closed.reason) for day in sorted(days) if (closed := shop.opening.closed_for(day))]


def _is_closed(leaves_at: datetime | None, shop: Shop) -> bool:
    if leaves_at is None:
        return False
    return not any(shop.opening.is_open(leaves_at - timedelta(minutes=back)) for back in (0, 1))


def _more_staff(bench_alternatives: BenchAlternatives, shop: Shop, formats: Formats) -> dict[str, str]:
    more = bench_alternatives.extra_person
    if more is None:
        return {}
    first, last = (formats.time_of_day(formats.local(moment).time()) for moment in (more.start, more.end))
    return {"day": f"{shop.opening.day_of(more.start)}", "from": first, "to": last, "by": "1"}
