"""Rows that are kept once they were made: the same as those that are made anew, and the same objects while nothing
changes."""

import itertools
from datetime import timedelta

import pytest
from sqlalchemy import update

from app.store.kept_rows import KeptRows
from app.store.models import Order, OrderBatch
from app.store.queries import gas, holding_area, stock, work
from app.store.queries.bench import BOARD, _rows
from tests.actions.builders import BENCH_REASON, at, line, order_request, take


def _take(session, catalogue):
    lines = (line(catalogue), line(catalogue, "12 in latex", quantity=2, treated=True))
    take(session, order_request(catalogue, *lines, bench_override=BENCH_REASON, stock_override=BENCH_REASON))


def test_they_are_those_that_are_made_anew(session, catalogue):
    _take(session, catalogue)
    kept = KeptRows(BOARD)
    found = _rows().order_by(OrderBatch.key)
    assert kept.read(session, found) == BOARD.read(session, found)
    assert len(kept.read(session, found)) == 2


def test_what_is_as_it_was_is_the_same_object_and_what_changed_is_another(session, catalogue):
    _take(session, catalogue)
    kept, found = KeptRows(BOARD), _rows().order_by(OrderBatch.key)
    first, second = kept.read(session, found)
    session.execute(update(OrderBatch).where(OrderBatch.id == first.id).values(filled=3))
    changed, same = kept.read(session, found)
    assert (changed.filled, same is second) == (3, True)
    assert changed is not first


OPEN = {
    "work": (work.KEPT, work.WORK, work._OPEN, {"now": at(8), "overdue": at(8) - timedelta(days=1)}),
    "stock": (stock.KEPT_PROMISED, stock.PROMISED, stock._PROMISED_SINCE, {"excluding": 0, "since": at(8)}),
    "gas": (gas.KEPT_TO_FILL, gas.TO_FILL, gas._TO_FILL_OPEN, {}),
    "holding area": (holding_area.KEPT, holding_area.WAITING, holding_area._BATCHES, {}),
}
"""The rows that a quote asks for: kept, made anew, their statement, and its parameters."""


@pytest.mark.parametrize("asked", OPEN)
def test_what_a_quote_asks_for_is_as_if_made_anew_after_each_change(session, catalogue, asked):
    kept, reader, found, values = OPEN[asked]
    _take(session, catalogue)
    seen = []
    for change in (
        update(OrderBatch).values(quantity=5),
        update(OrderBatch).values(spares=2, bursts=[["red", 1]]),
        update(OrderBatch).values(started_at=at(9), filled=1),
        update(OrderBatch).values(inflate_by=at(10), ready_by=at(15)),
        update(Order).values(not_made_at=at(16)),
    ):
        seen.append(kept.read(session, found, **values))
        assert seen[-1] == reader.read(session, found, **values)
        session.execute(change)
    assert kept.read(session, found, **values) == []
    assert len(seen[0]) == 2
    assert any(before != after for before, after in itertools.pairwise(seen))
