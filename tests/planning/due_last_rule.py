"""The rule that `look_ahead` must never do worse than: of each shortage, the order that is due last gives way; then
those that can still be in time are added again, and the others follow by their ready-by."""

from datetime import timedelta

from app.planning.finishing import Fit, find_finish_starts
from app.planning.order_work import with_precedence
from app.planning.schedule import Case
from app.planning.too_much import find_shortage

STEP = timedelta(minutes=5)


def due_last_rule(orders, shifts, points, now):
    """When each order that is not in time is ready, by key; None when not within seven days."""
    late, found, failures_left = [], find_finish_starts(orders, shifts, points, now, (), 400), 3
    if found.shortage:
        late = [one for one in orders if find_finish_starts([one], shifts, points, now, (), 400).shortage]
    remaining = [one for one in orders if one not in late]
    while (found := find_finish_starts(remaining, shifts, points, now, (), 400 * (failures_left > 0))).shortage:
        failures_left -= found.fit is Fit.NOT_FOUND
        short = {*found.shortage.keys}
        competing = [one for one in remaining if short & {one.key, *(fill.batch.key for fill in one.fills)}]
        late.append(max(competing, key=lambda one: (one.ready_by, one.key)))
        remaining.remove(late[-1])
    batches = [batch for one in remaining for batch in with_precedence(one, found.by_order[one.key], now)]
    late.sort(key=lambda one: (one.ready_by, one.key))
    placing = Placing(batches, shifts, points, now)
    in_time = {one.key for one in late if placing.add(one, 0) is not None}
    horizon = timedelta(days=7)
    return {
        one.key: placing.add(one, (horizon + max(now - one.ready_by, timedelta())) // STEP)
        for one in late
        if one.key not in in_time
    }


class Placing:
    """Batches on a bench, to which orders are added as soon as can be."""

    def __init__(self, batches, shifts, points, now):
        self.batches, self.shifts, self.points, self.now = batches, shifts, points, now

    def add(self, order, most):
        """Within so many steps after its ready-by; None, and nothing is added, if that cannot be."""
        earliest = max([self.now, *(fill.batch.not_before + fill.drying_time for fill in order.fills)])
        least = -((order.ready_by - earliest) // STEP)

        def batches(filled, ready):
            due = order.__class__(order.key, order.fills, order.finish_seconds, order.ready_by + ready * STEP)
            return with_precedence(due, order.ready_by + filled * STEP, self.now)

        filled = self._first(lambda steps: batches(steps, steps)[:-1], least, most)
        ready = None if filled is None else self._first(lambda steps: batches(filled, steps), filled, most)
        if ready is None:
            return None
        self.batches.extend(batches(filled, max(ready, 0)))
        return order.ready_by + max(ready, 0) * STEP

    def _first(self, more, least, most):
        """The first number of steps for which these batches fit too, by halving."""
        low, high = least, most + 1
        while low < high:
            middle = (low + high) // 2
            case = Case.of([*self.batches, *more(middle)], self.shifts, self.points)
            low, high = (middle + 1, high) if find_shortage(case) else (low, middle)
        return low if low <= most else None
