"""This module finds how late the batches of one order can start when the bench is shared with all other orders."""

from collections.abc import Mapping, Sequence
from datetime import datetime

from app.planning.order_work import OrderWork, with_precedence
from app.planning.schedule import Absence, Case, Shift, latest_starts_of


def latest_shared_starts(
    mine: Sequence[OrderWork],
    others: Sequence[OrderWork],
    finish_starts: Mapping[str, datetime],
    shifts: Sequence[Shift],
    points: Mapping[str, int],
    now: datetime,
    absences: Sequence[Absence] = (),
) -> dict[str, datetime]:
    """Returns by batch the latest start of each fill of mine with which all orders can still be ready.

    finish_starts: when the finishing of each order starts, as `find_finish_starts` found it: all orders must fit.
    The batches of mine are chosen one after another, those that are due last first; all others may start as early
    as they can. Raises ValueError like `make_plan`.
    """
    batches = [
        batch for order in (*others, *mine) for batch in with_precedence(order, finish_starts[order.key], now)
    ]
    fills = [fill.batch for order in mine for fill in order.fills]
    keys = [batch.key for batch in sorted(fills, key=lambda one: (-one.ready_by.timestamp(), one.key))]
    return latest_starts_of(Case.of(batches, shifts, points, absences), keys)
