"""How long work takes here, as the taps at the bench measured it. A measured value is saved only when somebody says
so."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from app.actions.context import Context
from app.actions.shop.settings_history import change_shop_settings
from app.craft.sizing import filled_litres
from app.physics.balloon import Gas
from app.physics.endurance import Filling
from app.planning.opening import Opening
from app.planning.work import batch_work, filling_point
from app.planning.work_times import TimedBatch, WorkTimeFinding, measure_work_times, with_figure
from app.quoting.catalogue import Catalogue
from app.quoting.errors import Problem, Refused
from app.quoting.shop import Shop
from app.store.queries.work_times import TappedBatchRow, tapped_batches

MEASURED_TIME_CHANGED = "The measured time has changed meanwhile: check it and save again."
LOOK_BACK = timedelta(days=90)
SHOWN_PIECES = (24, 50)
"""The sizes of batches for which the effect of a change is shown."""


@dataclass(frozen=True, slots=True)
class MeasuredWorkTimes:
    """rows: what was tapped, by the key of the batch."""

    findings: tuple[WorkTimeFinding, ...]
    rows: Mapping[str, TappedBatchRow]


@dataclass(frozen=True, slots=True)
class Effect:
    """The minutes of a batch with the saved value, and with the offered one."""

    pieces: int
    balloon_type: str
    before: int
    after: int


def measured_work_times(context: Context) -> MeasuredWorkTimes:
    """Returns what was measured in the last 90 days, of the latest 1,000 batches at most."""
    rows = {row.key: row for row in tapped_batches(context.session, context.now - LOOK_BACK)}
    batches = [_measured(row, context.shop, context.catalogue) for row in rows.values()]
    return MeasuredWorkTimes(tuple(measure_work_times(batches, context.shop.work_times)), rows)


def save_work_times(context: Context, figure: str, seconds: str) -> WorkTimeFinding:
    """Saves the offered value of a figure, in seconds as the page showed it. Raises Refused if that is no longer
    what is offered."""
    for finding in measured_work_times(context).findings:
        if finding.figure == figure and finding.offered is not None and f"{finding.offered}" == seconds:
            change_shop_settings(context, {figure: finding.offered})
            return finding
    raise Refused(Problem("work_times", MEASURED_TIME_CHANGED))


def effects_of(finding: WorkTimeFinding, shop: Shop) -> tuple[Effect, ...]:
    """Returns the effect of the offered value on the balloon type that was measured most; empty if nothing is
    offered."""
    if finding.offered is None:
        return ()
    fillings = Counter(each.batch.filling for each in finding.used)
    most = max(fillings, key=lambda filling: fillings[filling])
    after = with_figure(shop.work_times, finding.figure, finding.offered)
    return tuple(
        Effect(
            pieces,
            most.balloon_type.name,
            *(
                round(batch_work(most, pieces, work_times) / timedelta(minutes=1))
                for work_times in (shop.work_times, after)
            ),
        )
        for pieces in SHOWN_PIECES
    )


def _measured(row: TappedBatchRow, shop: Shop, catalogue: Catalogue) -> TimedBatch:
    """Returns a tapped batch as a measurement."""
    balloon_type, gas = catalogue.balloon_types[row.balloon_type_id].balloon_type, Gas(row.gas)
    filling = Filling(
        balloon_type, gas, filled_litres(balloon_type, row.fill_size_in, row.fill_share), shop.air, row.treated
    )
    point = filling_point(balloon_type.material, gas, air_only=balloon_type.air_only)
    return TimedBatch(
        row.key,
        filling,
        row.balloons,
        (row.filled_at - row.started_at).total_seconds(),
        _over_closing(shop.opening, row.started_at, row.filled_at),
        shop.points[point],
    )


def _over_closing(opening: Opening, started_at: datetime, filled_at: datetime) -> bool:
    """Returns whether the shop closed, or a day of the shop ended while it was closed, in between."""
    if opening.is_open_throughout(started_at, filled_at):
        return False
    first, last = (opening.day_of(at) for at in (started_at, filled_at))
    span = opening.span(first)
    return first != last or (span is not None and started_at < span.end < filled_at)
