"""Pick-ups: what the wait does to an order that nobody has collected yet."""

from collections.abc import Sequence
from datetime import datetime, timedelta

from app.actions.records.batches import read_float_plan
from app.physics.balloon import Gas
from app.planning.late_collection import late_collection, remedy_of
from app.store.queries.bench import BoardRow
from app.store.queries.pickup_rows import PickupRow
from app.web.requests import request_context
from app.web.wording.late_collection import ShownWait, WaitingBatch, describe_wait

QUARTER = timedelta(minutes=15)


def next_quarter(now: datetime) -> datetime:
    """Returns the next quarter of an hour after now: the moment at which an overdue order is collected at best. The
    page stays as it is until then."""
    past = timedelta(minutes=now.minute % 15, seconds=now.second, microseconds=now.microsecond)
    return now - past + QUARTER


def is_waiting(row: PickupRow, now: datetime) -> bool:
    """Returns whether filled balloons wait in the shop although they should have left."""
    return may_wait(row) and now > row.leaves_at


def may_wait(row: PickupRow) -> bool:
    """Returns whether filled balloons are in the shop, which somebody may collect later than agreed."""
    return not row.is_gone and not row.at_venue and row.all_filled


def show_wait(row: PickupRow, batches: Sequence[BoardRow], asked: datetime | None = None) -> ShownWait | None:
    """Returns what the wait does; None if nothing waits, or nothing of it must float. asked: when it would be
    collected, if somebody asks before it is overdue."""
    here = request_context()
    if not is_waiting(row, here.now) and not (asked and may_wait(row)):
        return None
    floating = [batch for batch in batches if batch.gas == Gas.HELIUM and batch.started_at]
    at = asked or next_quarter(here.now)
    ends = max((read_float_plan(batch.float_plan).legs[-1].ends for batch in floating), default=at)
    return describe_wait([_waiting(batch, at) for batch in floating], at, ends, here.formats, here.now)


def _waiting(batch: BoardRow, collected_at: datetime) -> WaitingBatch:
    plan, shop = read_float_plan(batch.float_plan), request_context().shop
    work = timedelta(minutes=batch.work_minutes)
    start = plan.start_to_judge(batch.started_at, batch.inflate_by)
    late = late_collection(plan, start, collected_at, shop.certainty, work)
    return WaitingBatch(batch.balloon_type_name, batch.quantity, remedy_of(batch.material), work, late)
