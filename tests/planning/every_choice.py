"""Every choice of who gives way and in which sequence they follow, tried one by one, for one person and filling
points enough: what is due first is done first, which keeps every deadline that can be kept (Jackson's rule for
preemptive work with release times; Horn, Naval Research Logistics Quarterly 21, 177, 1974).

Of the code that is tested, only `find_finish_starts` is used, to say when the finishing of the orders in time
begins.
"""

from dataclasses import dataclass
from datetime import timedelta
from heapq import heappop, heappush
from itertools import combinations, permutations

from app.planning.finishing import Fit, find_finish_starts

STEP, DAYS_AHEAD = timedelta(minutes=5), timedelta(days=7)


def one_person_can(jobs, shifts):
    """jobs: (may begin, due, seconds of work). Whether one person on these shifts can do all of them."""
    coming, waiting = sorted(jobs, key=lambda job: job[0]), []
    for start, end in shifts:
        now = start
        while now < end:
            while coming and coming[0][0] <= now:
                _, due, work = coming.pop(0)
                heappush(waiting, (due, work))
            stop = min(end, coming[0][0]) if coming else end
            if waiting:
                due, work = heappop(waiting)
                stop = min(stop, now + timedelta(seconds=work))
                if stop > due and work:
                    return False
                left = work - (stop - now).total_seconds()
                if left > 0:
                    heappush(waiting, (due, left))
            now = stop
    return not any(work for *_, work in (*coming, *waiting))


@dataclass(frozen=True)
class Choice:
    """missed, lateness: of those that count. late: who gives way, and when each is ready."""

    size: int
    missed: int
    lateness: timedelta


class EveryChoice:
    """All choices for some orders, one person, and a helium and an air point that never limit."""

    def __init__(self, orders, shifts, points, now):
        self.orders, self.bench, self.now = {one.key: one for one in orders}, (shifts, points, now), now
        self.hours = sorted((max(shift.start, now), shift.end) for shift in shifts)

    def best(self):
        """The fewest that must give way, and the least loss with so few."""
        over = {key for key, one in self.orders.items() if self._is_over(one)}
        for size in range(len(self.orders) + 1):
            found = [self._in_time(late) for late in map(set, combinations(sorted(self.orders), size))]
            losses = [
                self._loss(jobs, [self.orders[key] for key in sequence])
                for late, jobs in found
                if jobs is not None
                for sequence in permutations(sorted(late - over))
            ]
            if losses:
                return Choice(size, *min(losses)), over
        return None

    def _in_time(self, late):
        others = [one for key, one in self.orders.items() if key not in late]
        found = find_finish_starts(others, *self.bench, (), 400)
        if found.fit is not Fit.FITS:
            return late, None
        return late, [job for one in others for job in self._jobs(one, found.by_order[one.key], one.ready_by)]

    def _jobs(self, order, finish_start, ready_by):
        fills = [
            (max(fill.batch.not_before, self.now), finish_start - fill.drying_time, fill.batch.work_seconds)
            for fill in order.fills
        ]
        return [*fills, (max(finish_start, self.now), ready_by, order.finish_seconds)]

    def _loss(self, jobs, sequence):
        missed, lateness = 0, timedelta()
        for order in sequence:
            ready_at, more = self._soonest(jobs, order)
            jobs = [*jobs, *more]
            starts = order.latest_for_start
            missed += ready_at is None or (starts is not None and order.ready_by <= starts < ready_at)
            lateness += DAYS_AHEAD if ready_at is None else max(ready_at - order.ready_by, timedelta())
        return missed, lateness

    def _soonest(self, jobs, order):
        """Step by step: first the fills, then the finishing."""
        latest = max(self.now, order.ready_by) + DAYS_AHEAD
        dry = max([self.now, *(fill.batch.not_before + fill.drying_time for fill in order.fills)])
        at = order.ready_by - (order.ready_by - dry) // STEP * STEP
        while not one_person_can([*jobs, *self._jobs(order, at, at)[:-1]], self.hours):
            at += STEP
            if at > latest:
                return None, []
        ready = at
        while not one_person_can([*jobs, *self._jobs(order, at, ready)], self.hours):
            ready += STEP
            if ready > latest:
                return None, []
        return ready, self._jobs(order, at, max(ready, order.ready_by))

    def _is_over(self, order):
        ready_at, _ = self._soonest([], order)
        ends = order.latest_for_end
        return ready_at is None or (ends is not None and ready_at > max(ends, order.ready_by))
