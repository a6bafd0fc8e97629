"""The batches of a quote as the counter shows them."""

from dataclasses import dataclass
from datetime import datetime

from app.actions.records.batches import usable_window
from app.quoting.quote import Quote
from app.quoting.reasons import reasons_of_plan
from app.quoting.runs import BatchPlan
from app.quoting.shop import Shop
from app.quoting.states import OrderPart
from app.web.drawings.float_strip import Strip, StripHours, layout
from app.web.formats import Formats
from app.web.wording.answer import day_without_weekday, fill_sentence, in_time_sentence
from app.web.wording.orders import started_sentence, unsized_fill_level
from app.web.wording.outcome import outcome_sentence
from app.web.wording.outdoors import weight_sentence
from app.web.wording.why import describe_reasons


@dataclass(frozen=True, slots=True)
class QuotedBatch:
    """A batch in words, with its float strip. name: of its balloon type. not_before, inflate_by: its window in the
    shop's zone. chance_in_time: the chance for an order that is late now, with what it is about. started: its real
    start there, empty until it has one. window: in words, when it may be filled or was started. speaks: whether the
    answer shows it without being asked; the others are in the details of the line. lines: the numbers of the lines
    that have balloons in it."""

    name: str
    quantity: int
    title: str
    verdict: str
    not_before: str
    inflate_by: str
    started: str
    window: str
    chance: str
    chance_in_time: str
    why: tuple[str, ...]
    weight: str
    strip: Strip
    time_reasons: tuple[str, ...]
    speaks: bool = True
    lines: tuple[int, ...] = ()


def time_attribute(moment: datetime | None, formats: Formats) -> str:
    """Returns the moment in the shop's zone for an attribute of the page; empty for None."""
    return f"{formats.local(moment):%Y-%m-%dT%H:%M}" if moment else ""


def show_quoted_batch(plan: BatchPlan, quote: Quote, shop: Shop, formats: Formats, now: datetime) -> QuotedBatch:
    request = quote.request
    window = usable_window(plan.window.not_before, plan.window.inflate_by, plan.ready_by, request.hand_over, shop)
    until = request.lasts_until or plan.ready_by
    day = day_without_weekday(window.inflate_by, plan.ready_by, formats, now)
    started = plan.started_at
    sentence = (
        started_sentence(started, None, plan.ready_by, formats, day)
        if started
        else fill_sentence(window, formats, now, lasts=plan.window.outcome.lasts)
    )
    promise, gas = plan.fill.endurance.promise, plan.fill.spec.gas
    chance = outcome_sentence(plan.window.outcome, promise, formats.short_moment(until, day), gas)
    verdict = plan.window.verdict
    hours = StripHours(window, request.event_start, request.lasts_until, plan.float_plan, verdict, started)
    return QuotedBatch(
        name=plan.fill.balloon_type.name,
        quantity=plan.fill.quantity,
        title=_title(plan, formats),
        verdict=verdict,
        not_before=time_attribute(window.earliest, formats),
        inflate_by=time_attribute(window.inflate_by, formats),
        started=time_attribute(started, formats),
        window=sentence,
        chance=chance,
        chance_in_time=in_time_sentence(chance, window.inflate_by, formats, now),
        why=tuple(formats.in_shop_units(why) for why in plan.fill.size.why),
        weight=weight_sentence(plan.fill.weight_g, formats),
        strip=layout(hours, f"{sentence} {chance}", formats, now),
        time_reasons=describe_reasons(reasons_of_plan(plan, window, quote, shop), formats, day, now),
    )


def _title(plan: BatchPlan, formats: Formats) -> str:
    fill = plan.fill
    treated = ", treated" if fill.spec.treated else ""
    hung = f", {formats.weighed(fill.spec.hung_g, 2)} on each" if fill.spec.hung_g else ""
    later = ", later part" if fill.spec.part is OrderPart.LATER else ""
    traits, air_only = fill.balloon_type.material.traits, fill.balloon_type.air_only
    share = 1.0 if traits.stretches else fill.size.share
    is_sized = traits.is_sized(air_only=air_only)
    size = f"to {formats.size(fill.size.diameter_in)}" if is_sized else unsized_fill_level(share)
    return f"{fill.quantity} × {fill.balloon_type.name}, {fill.spec.gas}, filled {size}{treated}{hung}{later}"
