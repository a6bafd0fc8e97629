"""The lines of a quote as the counter shows them, each with its batches."""

from collections import Counter
from dataclasses import dataclass, replace
from datetime import datetime

from app.places.counter.shown_batches import QuotedBatch, show_quoted_batch
from app.planning.window import Verdict
from app.quoting.parts import BatchSpec, SoldLine
from app.quoting.quote import Quote
from app.quoting.runs import BatchPlan
from app.quoting.shop import Shop
from app.web.formats import Formats
from app.web.wording.outdoors import describe_design_weight


@dataclass(frozen=True, slots=True)
class ShownLine:
    """batches: those that no earlier line has shown. shared_with: the numbers of the earlier lines that have shown
    the others. colours: how many there are of each colour."""

    title: str
    price: str
    colours: tuple[tuple[str, int], ...]
    batches: tuple[QuotedBatch, ...]
    shared_with: tuple[int, ...]
    weight: str


def show_lines(quote: Quote, shop: Shop, formats: Formats, now: datetime) -> tuple[ShownLine, ...]:
    """Returns the lines. A batch in which several lines have balloons stands at the first of them only."""
    shown_at: dict[BatchSpec, int] = {}
    lines = []
    for number, line in enumerate(quote.lines, start=1):
        plans = quote.batches_of(line)
        shared = {shown_at[plan.fill.spec] for plan in plans if plan.fill.spec in shown_at}
        own = [plan for plan in plans if plan.fill.spec not in shown_at]
        shown_at |= {plan.fill.spec: number for plan in own}
        lines.append(
            ShownLine(
                title=f"{line.request.quantity} × {line.title}",
                price=formats.money(line.total_minor),
                colours=_colours_of(line),
                batches=_show_batches(own, line, quote, shop, formats, now),
                shared_with=tuple(sorted(shared)),
                weight=_design_weight(line, quote, formats),
            )
        )
    return tuple(lines)


def _colours_of(line: SoldLine) -> tuple[tuple[str, int], ...]:
    counts = Counter[str]()
    for part in line.parts.values():
        counts.update(part)
    return tuple((name, count) for name, count in counts.items() if name)


def _show_batches(
    plans: list[BatchPlan], line: SoldLine, quote: Quote, shop: Shop, formats: Formats, now: datetime
) -> tuple[QuotedBatch, ...]:
    """Returns these batches of a line. Those that are not safe speak; if all are safe, only the one with the lowest
    chance does. A design has one weight for all, so that its batches have none."""
    is_design = line.request.design_id is not None
    tightest = min(plans, key=lambda plan: (plan.window.chance, -plan.window.outcome.light), default=None)
    all_safe = all(plan.window.verdict is Verdict.SAFE for plan in quote.batches_of(line))
    return tuple(
        replace(
            (shown := show_quoted_batch(plan, quote, shop, formats, now)),
            speaks=plan is tightest if all_safe else plan.window.verdict is not Verdict.SAFE,
            weight="" if is_design else shown.weight,
            lines=tuple(at for at, one in enumerate(quote.lines, start=1) if plan in quote.batches_of(one)),
        )
        for plan in plans
    )


def _design_weight(line: SoldLine, quote: Quote, formats: Formats) -> str:
    if line.request.design_id is None:
        return ""
    grams = describe_design_weight(line.parts, line.request.quantity, quote.weights, formats)
    return f"Outdoors, weigh down each {line.title} with at least {grams}." if grams else ""
