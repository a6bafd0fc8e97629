"""This module gives the reasons for the times of a quote's batches."""

from datetime import datetime, timedelta

from app.planning.bench_window import BenchWindow
from app.planning.reasons import FinishingReason, TimeReasons, WorkReason, float_reason
from app.quoting.quote import Quote
from app.quoting.request import HandOver
from app.quoting.runs import BatchPlan
from app.quoting.shop import Shop


def latest_finish_start(ready_by: datetime, finishing: timedelta, hand_over: str, shop: Shop) -> datetime | None:
    """Returns when the finishing must start: at the bench in opening hours, at a venue whenever it is; None if the
    shop is not open for so long."""
    if hand_over == HandOver.VENUE:
        return ready_by - finishing
    return shop.opening.latest_start(ready_by, finishing)


def reasons_of_plan(plan: BatchPlan, window: BenchWindow, quote: Quote, shop: Shop) -> TimeReasons:
    """Returns the reasons for the time of a batch of a quote. window: when the batch may be filled."""
    fill, run = plan.fill, next(run for run in quote.runs if any(one is plan for one in run.batches))
    hand_over = quote.request.hand_over
    return TimeReasons(
        float_reason(
            fill.balloon_type.material,
            fill.spec.gas,
            plan.float_plan,
            shop.certainty.safe,
            plan.started_at or plan.window.inflate_by,
        ),
        WorkReason(
            at_venue=hand_over is HandOver.VENUE,
            work=fill.work,
            window=window,
            not_before=plan.window.not_before,
            alone_by=plan.window.own_inflate_by,
            order_by=run.first_fill_by,
            started_at=plan.started_at,
        ),
        FinishingReason(
            fill.drying_time,
            quote.finishing,
            latest_finish_start(plan.ready_by, quote.finishing, hand_over, shop),
            plan.ready_by,
        ),
    )
