"""What the proof that an order does not fit says about later hours.

The batches of a cut stay too much together until staff and points have had as many more seconds as are lacking.
"""

from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime, timedelta
from itertools import pairwise

from app.actions.bench.bench_day import BenchDay
from app.actions.bench.fit import BenchFit
from app.planning.order_work import OrderWork
from app.planning.schedule import Absence, Batch, Shift
from app.quoting.quote import Quote


def earliest_possible_hour(quote: Quote, fit: BenchFit, bench: BenchDay) -> datetime | None:
    """Returns the earliest ready-by at which the order might fit; None if it can fit at no later hour.

    The order's batches are assumed to be workable at any time from their present ready-by on. That leaves more room
    than there really is, so no hour is excluded wrongly.
    """
    keys = set(fit.shortage.keys if fit.shortage else ())
    every = [batch for order in bench.of_quote(quote) for batch in _batches(order, bench)]
    mine = [batch for batch in every if batch.key in keys]
    others = [batch for order in bench.orders for batch in _batches(order, bench) if batch.key in keys]
    return _time_to_gain(fit.lacking_seconds, mine or every, others if mine else [], bench)


def _batches(order: OrderWork, bench: BenchDay) -> Iterator[Batch]:
    """Yields each fill, due so early that it can dry, and the finishing, each from its earliest start."""
    for fill in order.fills:
        yield Batch(
            fill.batch.key,
            fill.batch.gas,
            0,
            max(fill.batch.not_before, bench.now),
            order.ready_by - fill.drying_time,
        )
    first = max((fill.batch.not_before + fill.drying_time for fill in order.fills), default=bench.now)
    yield Batch(order.key, None, 0, max(first, bench.now), order.ready_by)


def _time_to_gain(lacking: int, mine: Sequence[Batch], others: Sequence[Batch], bench: BenchDay) -> datetime | None:
    """Returns when the staff and points have gained the lacking seconds: what they can do for both groups of
    batches, less what they can do for the others alone. Returns None if they never do."""
    since, left = min(batch.ready_by for batch in mine), float(lacking)
    mine_too = {batch.gas for batch in mine}
    for start, end in pairwise(_changes(since, others, bench)):
        gases = {batch.gas for batch in others if batch.not_before <= start < batch.ready_by}
        gain = _rate(gases | mine_too, start, bench) - _rate(gases, start, bench)
        if gain and gain * (end - start).total_seconds() >= left:
            return start + timedelta(seconds=left / gain)
        left -= gain * (end - start).total_seconds()
    return None


def _changes(since: datetime, others: Iterable[Batch], bench: BenchDay) -> list[datetime]:
    """Returns the moments, from `since` on, at which staff, points or usable gases change."""
    moments = {moment for batch in others for moment in (batch.not_before, batch.ready_by)}
    stretches: tuple[Shift | Absence, ...] = (*bench.shifts, *bench.absences)
    moments |= {moment for one in stretches for moment in (one.start, one.end)}
    return [since, *sorted(moment for moment in moments if moment > since)]


def _rate(gases: Iterable[str | None], at: datetime, bench: BenchDay) -> int:
    """Returns how many people can work on these gases at once; None stands for work without a filling point."""
    absences = [crew for crew in bench.absences if crew.start <= at < crew.end]
    staff = sum(shift.hands for shift in bench.shifts if shift.start <= at < shift.end)
    staff = max(staff - sum(crew.hands for crew in absences), 0)
    if None in (wanted := set(gases)):
        return staff
    gone = {gas: sum(crew.points.get(gas, 0) for crew in absences) for gas in wanted if gas}
    return min(staff, sum(max(bench.points[gas] - number, 0) for gas, number in gone.items()))
