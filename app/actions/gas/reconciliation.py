"""What was used by the gauges, against what was filled in the same time: a leak or a wrong gauge shows.

Gauges are seldom read all at once, so readings of different cylinders within half an hour form one round. The times
between readings that overlap are joined to periods in which the sums can be compared.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from app.actions.context import Context
from app.actions.gas.balance import FilledSince, fills_since
from app.actions.gas.readings import GAUGE_STEP_BAR
from app.craft.gas import PressureReading, content_litres, litres_per_normal_litre
from app.quoting.shop import Shop
from app.quoting.states import CylinderState
from app.store.models import Cylinder, CylinderReading
from app.store.queries.gas import readings

ROUND_LENGTH = timedelta(minutes=30)
REREAD_WITHIN = timedelta(minutes=5)
"""Two readings of a gauge within this time count as one: the last."""
LOOK_BACK = timedelta(days=90)


class GasFinding(StrEnum):
    """What a period shows."""

    MATCHES = "matches"
    MORE_USED = "more used than filled"
    LESS_USED = "less used than filled"
    INCOMPLETE = "waits for a reading"


@dataclass(frozen=True, slots=True)
class ComparedPeriod:
    """Litres of gas as measured in the shop. names: of the cylinders. used: by their gauges. filled: by the taps.
    floor: a difference that the gauges are too coarse to show. unread: cylinders in use or with a crew that were
    not read at its end, so that the sums say nothing yet."""

    starts: datetime
    ends: datetime
    names: tuple[str, ...]
    used: float
    filled: float
    floor: float
    unread: tuple[str, ...]

    def finding(self, tolerance: float) -> GasFinding:
        """Returns what the period shows. tolerance: as a share of what was filled."""
        if self.unread:
            return GasFinding.INCOMPLETE
        more = self.used - self.filled
        if abs(more) <= max(tolerance * self.filled, self.floor):
            return GasFinding.MATCHES
        return GasFinding.MORE_USED if more > 0 else GasFinding.LESS_USED


@dataclass(frozen=True, slots=True)
class _CylinderPeriod:
    """One cylinder between two readings. first, last: the numbers of their rounds. used: litres used. grain:
    litres that its gauge is too coarse to show."""

    cylinder: Cylinder
    first: int
    last: int
    used: float
    grain: float

    @property
    def is_still(self) -> bool:
        """Whether its gauge did not move."""
        return abs(self.used) <= self.grain

    def overlaps(self, other: "_CylinderPeriod") -> bool:
        """Returns whether both share some time."""
        return self.first < other.last and other.first < self.last


def compare_used_with_filled(context: Context, known: Iterable[Cylinder]) -> list[ComparedPeriod]:
    """Returns the periods of the last 90 days, the latest first; empty if no cylinder was read twice.

    known: all cylinders, also those that were sent back.
    """
    return _compare_readings(context, known, context.now - LOOK_BACK, context.now)


def compare_between(
    context: Context, known: Iterable[Cylinder], start: datetime, end: datetime
) -> list[ComparedPeriod]:
    """Returns the periods that ended between two moments, the latest first.

    Readings of 90 more days on either side are read, so that a period that began before is whole, and one that ends
    after is not taken for one that ends before.
    """
    found = _compare_readings(context, known, start - LOOK_BACK, end + LOOK_BACK)
    return [one for one in found if start <= one.ends < end]


def _compare_readings(
    context: Context, known: Iterable[Cylinder], since: datetime, until: datetime
) -> list[ComparedPeriod]:
    read = readings(context.session, since, until=until)
    active_readings = [row for row in read if row.undone_at is None]
    if len(active_readings) < 2:
        return []
    by_id = {row.id: row for row in known}
    fills = fills_since(context, active_readings[0].at, until)
    return compare(active_readings, by_id, fills, context.shop)


def compare(
    active_readings: Sequence[CylinderReading],
    cylinders: dict[int, Cylinder],
    fills: Sequence[FilledSince],
    shop: Shop,
) -> list[ComparedPeriod]:
    """Returns the compared periods, the latest first. active_readings: those not undone, the oldest first."""
    rounds = _rounds(active_readings)
    times = _times(active_readings, rounds)
    last_read = {row.cylinder_id: number for row, number in zip(active_readings, rounds, strict=True)}
    giving = [one for one in cylinders.values() if one.state == CylinderState.IN_USE or one.order_id is not None]
    periods = []
    for group in _groups(_counted(_pieces(active_readings, rounds, cylinders, shop))):
        end = max(piece.last for piece in group)
        unread = tuple(one.name for one in giving if last_read.get(one.id, end) < end)
        periods.append(_period(group, times, fills, unread))
    return periods[::-1]


def _period(
    group: Sequence[_CylinderPeriod],
    times: Sequence[datetime],
    fills: Iterable[FilledSince],
    unread: tuple[str, ...],
) -> ComparedPeriod:
    """Returns the sums over cylinders whose times overlap."""
    starts, ends = times[min(one.first for one in group)], times[max(one.last for one in group)]
    return ComparedPeriod(
        starts,
        ends,
        tuple(sorted({one.cylinder.name for one in group})),
        sum(one.used for one in group),
        sum(fill.litres for fill in fills if starts <= fill.after < ends),
        sum({one.cylinder.id: one.grain for one in group}.values()),
        unread,
    )


def _rounds(active_readings: Sequence[CylinderReading]) -> list[int]:
    """Returns the number of each reading's round. A cylinder is in one round twice only if it was read again at
    once."""
    numbers: list[int] = []
    started, last_read = None, dict[int, datetime]()
    for row in active_readings:
        read_before = last_read.get(row.cylinder_id, row.at)
        if started is None or row.at - started > ROUND_LENGTH or row.at - read_before > REREAD_WITHIN:
            started, last_read = row.at, {}
            numbers.append(numbers[-1] + 1 if numbers else 0)
        else:
            numbers.append(numbers[-1])
        last_read[row.cylinder_id] = row.at
    return numbers


def _times(active_readings: Sequence[CylinderReading], rounds: Sequence[int]) -> list[datetime]:
    """Returns when each round ended."""
    return [*{number: row.at for number, row in zip(rounds, active_readings, strict=True)}.values()]


def _pieces(
    active_readings: Sequence[CylinderReading], rounds: Sequence[int], cylinders: dict[int, Cylinder], shop: Shop
) -> list[_CylinderPeriod]:
    """Returns each cylinder between each two of its readings. The last reading of a round counts.

    What was used is the difference of all the gas in the cylinder, each reading at its own temperature.
    """
    per_normal, before, pieces = litres_per_normal_litre(shop.air), dict[int, tuple[int, float]](), []
    last = {(number, row.cylinder_id): row for row, number in zip(active_readings, rounds, strict=True)}
    for (number, _), row in last.items():
        cylinder = cylinders[row.cylinder_id]
        held = content_litres(cylinder.water_l, PressureReading(row.bar, row.celsius), shop.air) * per_normal
        if cylinder.id in before:
            first, held_then = before[cylinder.id]
            pieces.append(
                _CylinderPeriod(cylinder, first, number, held_then - held, GAUGE_STEP_BAR * cylinder.water_l)
            )
        before[cylinder.id] = number, held
    return pieces


def _counted(pieces: Sequence[_CylinderPeriod]) -> list[_CylinderPeriod]:
    """Returns the pieces without cylinders whose gauge did not move while another's did: they were not in use."""
    moved = [one for one in pieces if not one.is_still]
    return [one for one in pieces if not one.is_still or not any(map(one.overlaps, moved))]


def _groups(pieces: Iterable[_CylinderPeriod]) -> list[list[_CylinderPeriod]]:
    """Returns the pieces in groups of those that overlap, one with the next, in order of time."""
    groups: list[list[_CylinderPeriod]] = []
    for piece in sorted(pieces, key=lambda one: (one.first, one.last)):
        if groups and any(map(piece.overlaps, groups[-1])):
            groups[-1].append(piece)
        else:
            groups.append([piece])
    return groups
