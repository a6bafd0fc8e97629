"""The bench's pace as its taps measured it, and keeping a figure of it: only when somebody says so."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy.orm import Session

from app.actions.errors import Problem, Refused
from app.actions.records.shop import Goods, Shop
from app.actions.shop.office import change_settings
from app.craft.sizing import filled_litres
from app.physics.balloon import Gas
from app.physics.endurance import Filling
from app.planning.opening import Opening
from app.planning.shoptime import local_day
from app.planning.work import batch_work, filling_point
from app.planning.work_times import Finding, Measured, find_pace, with_figure
from app.store.queries.work_times import TappedRow, tapped_batches

LOOK_BACK = timedelta(days=90)
SHOWN_PIECES = (24, 50)
"""Of the batches by which a change is told."""


@dataclass(frozen=True, slots=True)
class MeasuredPace:
    """rows: what was tapped, by the batch's key."""

    findings: tuple[Finding, ...]
    rows: Mapping[str, TappedRow]


@dataclass(frozen=True, slots=True)
class Effect:
    """Minutes of a batch, with the figure that is kept and with the one that is offered."""

    pieces: int
    kind: str
    before: int
    after: int


def measured_pace(session: Session, shop: Shop, goods: Goods, now: datetime) -> MeasuredPace:
    """Of the last 90 days."""
    rows = {row.key: row for row in tapped_batches(session, now - LOOK_BACK)}
    batches = [_measured(row, shop, goods) for row in rows.values()]
    return MeasuredPace(tuple(find_pace(batches, shop.pace)), rows)


def keep_pace(session: Session, shop: Shop, goods: Goods, now: datetime, figure: str, seconds: str) -> Finding:
    """Keep what is offered for a figure, in seconds as the page showed it. Raises Refused where that is not what is
    offered now."""
    for finding in measured_pace(session, shop, goods, now).findings:
        if finding.figure == figure and finding.offered is not None and f"{finding.offered}" == seconds:
            change_settings(session, {figure: seconds})
            return finding
    raise Refused(Problem("pace", "That is not what the taps say any more: look again."))


def effects_of(finding: Finding, shop: Shop) -> tuple[Effect, ...]:
    """Of what is offered, on the kind that was counted most; nothing where nothing is."""
    if finding.offered is None:
        return ()
    fillings = Counter(each.batch.filling for each in finding.used)
    most = max(fillings, key=lambda filling: fillings[filling])
    after = with_figure(shop.pace, finding.figure, finding.offered)
    return tuple(
        Effect(
            pieces,
            most.kind.name,
            *(round(batch_work(most, pieces, pace) / timedelta(minutes=1)) for pace in (shop.pace, after)),
        )
        for pieces in SHOWN_PIECES
    )


def _measured(row: TappedRow, shop: Shop, goods: Goods) -> Measured:
    kind, gas = goods.kinds[row.kind_id].kind(), Gas(row.gas)
    filling = Filling(kind, gas, filled_litres(kind, row.fill_size_in, row.fill_share), shop.air, row.treated)
    point = filling_point(kind.material, gas, air_only=kind.air_only)
    return Measured(
        row.key,
        filling,
        row.balloons,
        (row.filled_at - row.started_at).total_seconds(),
        _over_closing(shop.opening, row.started_at, row.filled_at),
        shop.points[point],
    )


def _over_closing(opening: Opening, started_at: datetime, filled_at: datetime) -> bool:
    """Whether the shop closed, or a day ended, in between."""
    first, last = (local_day(at, opening.zone) for at in (started_at, filled_at))
    span = opening.span(first)
    return first != last or (span is not None and started_at < span.end < filled_at)
