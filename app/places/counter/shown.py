"""A quote as the counter shows it: each line with its strips and sentences."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from app.actions.quote import BatchPlan, Quote
from app.actions.shop import Shop
from app.web.formats import Formats
from app.web.strip import Hours, Strip, lay_out
from app.web.words import (
    VERDICTS,
    bench_window,
    chance_sentence,
    film_size,
    hours_sentence,
    late_sentence,
    window_sentence,
)


@dataclass(frozen=True, slots=True)
class ShownBatch:
    title: str
    verdict: str
    window: str
    chance: str
    why: tuple[str, ...]
    strip: Strip


@dataclass(frozen=True, slots=True)
class ShownLine:
    title: str
    price: str
    batches: tuple[ShownBatch, ...]


@dataclass(frozen=True, slots=True)
class ShownQuote:
    """needs_word: a promise that is not safe is made only with the caller's word."""

    verdict: str
    verdict_word: str
    hours: str
    closed: bool
    late: str
    first_fill: str
    total: str
    lines: tuple[ShownLine, ...]

    @property
    def needs_word(self) -> bool:
        return self.verdict != "safe"


def show_quote(answer: Quote, shop: Shop, formats: Formats, now: datetime) -> ShownQuote:
    return ShownQuote(
        verdict=answer.verdict,
        verdict_word=VERDICTS[answer.verdict],
        hours=hours_sentence(answer, formats),
        closed=_closed_at(answer, shop),
        late=late_sentence(answer, formats),
        first_fill=formats.moment(answer.first_fill_by) if len(answer.batches) > 1 else "",
        total=formats.money(answer.total_minor),
        lines=tuple(
            ShownLine(
                title=f"{line.wish.quantity} × {line.title}",
                price=formats.money(line.total_minor),
                batches=tuple(_show_batch(plan, answer, shop, formats, now) for plan in answer.batches_of(line)),
            )
            for line in answer.lines
        ),
    )


def _closed_at(answer: Quote, shop: Shop) -> bool:
    """Whether nobody is there to hand it over; the closing hour itself is still open."""
    return not any(shop.opening.is_open(answer.ready_by - timedelta(minutes=back)) for back in (0, 1))


def _show_batch(plan: BatchPlan, answer: Quote, shop: Shop, formats: Formats, now: datetime) -> ShownBatch:
    wish = answer.wish
    window = bench_window(plan.window.not_before, plan.window.inflate_by, answer.ready_by, shop.opening)
    until = wish.lasts_until or answer.ready_by
    day = formats.local(answer.ready_by).date()
    sentence = window_sentence(window, formats, day, now)
    chance = chance_sentence(plan.window.chance, formats.beside(until, day), plan.fill.of.gas)
    verdict = plan.window.verdict
    hours = Hours(window, wish.event_start, wish.lasts_until, plan.fill.endurance, plan.legs, verdict)
    return ShownBatch(
        title=_title(plan, formats),
        verdict=verdict,
        window=sentence,
        chance=chance,
        why=plan.fill.size.why,
        strip=lay_out(hours, f"{sentence} {chance}", formats, now),
    )


def _title(plan: BatchPlan, formats: Formats) -> str:
    fill = plan.fill
    treated = ", treated" if fill.of.treated else ""
    size = film_size(fill.size.share) if not fill.kind.stretches else f"to {formats.size(fill.size.diameter_in)}"
    return f"{fill.quantity} × {fill.kind.name}, {fill.of.gas}, filled {size}{treated}"
