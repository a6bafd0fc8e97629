"""The state of an order in words, the same on every page. That these are the states of an order is common practice,
no source."""

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from app.quoting.states import OrderState
from app.store.queries.progress import OrderProgress
from app.web.wording.order_state import state_of_order

NEW = OrderProgress(
    state=OrderState.OPEN,
    not_made_at=None,
    wanted=30,
    filled=0,
    started=False,
    parts=1,
    parts_ready=0,
    parts_gone=0,
)
BEGUN = replace(NEW, started=True, filled=12)


@pytest.mark.parametrize(
    ("row", "progress", "words"),
    [
        (NEW, "not-started", "Not started"),
        (BEGUN, "in-progress", "In progress 12/30"),
        (replace(NEW, started=True, filled=30), "in-progress", "All filled, not ready yet"),
        (
            replace(BEGUN, filled=30, parts=2, parts_ready=1, parts_gone=1),
            "in-progress",
            "Part handed over, rest all filled, not ready yet",
        ),
        (replace(BEGUN, filled=30, parts_ready=1), "ready", "Ready"),
        (replace(BEGUN, parts=2, parts_ready=1), "in-progress", "In progress 12/30"),
        (
            replace(BEGUN, parts=2, parts_ready=1, parts_gone=1),
            "in-progress",
            "Part handed over, rest in progress 12/30",
        ),
        (replace(BEGUN, parts=2, parts_ready=2, parts_gone=1), "ready", "Part handed over, rest ready"),
        (replace(BEGUN, state=OrderState.HANDED_OVER, parts_gone=1), "handed-over", "Handed over"),
        (replace(BEGUN, state=OrderState.CANCELLED), "cancelled", "Cancelled"),
        (replace(BEGUN, not_made_at=datetime(2026, 11, 21, tzinfo=UTC)), "not-made", "Not made"),
    ],
)
def test_the_state_says_how_far_it_is(row, progress, words):
    shown = state_of_order(row)
    assert (shown.progress, shown.words) == (progress, words)
