"""Rows that are kept once they were made: the same as those that are made anew, and the same objects while nothing
changes."""

from sqlalchemy import update

from app.store.kept_rows import KeptRows
from app.store.models import OrderBatch
from app.store.queries.bench import BOARD, _rows
from tests.actions.builders import BENCH_REASON, line, order_request, take


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
