"""This module gathers why a batch has its time."""

from datetime import datetime, timedelta

from app.physics.balloon import Gas
from app.planning.bench_window import BenchWindow
from app.planning.reasons import FinishingReason, TimeReasons, WorkReason, float_reason
from app.planning.window import FloatPlan
from app.quoting.reasons import latest_finish_start
from app.quoting.shop import Shop
from app.store.queries.bench import BoardRow


def reasons_of(
    row: BoardRow,
    window: BenchWindow,
    float_plan: FloatPlan,
    shop: Shop,
    planned_finish_start: datetime | None = None,
) -> TimeReasons:
    """Returns the reasons for the time of a batch. It counts from its real start, once it has one.

    planned_finish_start: the latest start of its order's finishing in the plan of the whole bench, if it has one.
    """
    finishing = timedelta(minutes=row.finishing_minutes)
    start = row.started_at or row.inflate_by
    own_finish_start = latest_finish_start(row.ready_by, finishing, row.hand_over, shop)
    return TimeReasons(
        float_reason(row.material, Gas(row.gas), float_plan, shop.certainty.safe, start),
        WorkReason(
            at_venue=row.at_venue,
            work=timedelta(minutes=row.work_minutes),
            window=window,
            not_before=row.not_before,
            alone_by=row.own_inflate_by,
            order_by=row.first_fill_by,
            started_at=row.started_at,
        ),
        FinishingReason(
            drying=timedelta(minutes=shop.work_times.drying_minutes if row.treated else 0),
            finishing=finishing,
            starts_by=min((at for at in (planned_finish_start, own_finish_start) if at), default=None),
            ready_by=row.ready_by,
        ),
    )
