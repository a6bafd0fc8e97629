"""The state of an order in words, the same on every page. That these are the states of an order is common practice,
no source."""

from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

import pytest

from app.quoting.request import HandOver
from app.quoting.states import OrderState
from app.store.queries.progress import OrderProgress
from app.web.wording.order_state import missed_of, state_of_order

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


READY_BY = datetime(2026, 11, 21, 14, tzinfo=UTC)


@dataclass(frozen=True)
class Due:
    """When an order should leave: at two, and it must float until seven."""

    hand_over: HandOver = HandOver.COLLECT
    ready_by: datetime = READY_BY
    later_at: datetime | None = None
    arrives_at: datetime | None = None
    travel_minutes: int = 30
    lasts_until: datetime | None = READY_BY + timedelta(hours=5)


DELIVERED = Due(HandOver.DELIVER, arrives_at=READY_BY + timedelta(minutes=45))
IN_TWO = Due(later_at=READY_BY + timedelta(hours=2))
READY_ROW = replace(BEGUN, filled=30, parts_ready=1)


@pytest.mark.parametrize(
    ("due", "row", "minutes", "mark", "since"),
    [
        (Due(), READY_ROW, 0, None, None),
        (Due(), READY_ROW, 1, "not-collected", 0),
        (Due(), BEGUN, 1, "not-finished", 0),
        (DELIVERED, READY_ROW, 40, None, None),
        (DELIVERED, READY_ROW, 46, "not-delivered", 45),
        (DELIVERED, BEGUN, 1, "not-finished", 0),
        (Due(HandOver.VENUE), BEGUN, 200, None, None),
        (Due(HandOver.VENUE), BEGUN, 301, "not-finished", 300),
        (IN_TWO, replace(READY_ROW, parts=2), 1, "not-collected", 0),
        (IN_TWO, replace(READY_ROW, parts=2, parts_gone=1), 1, None, None),
        (IN_TWO, replace(READY_ROW, parts=2, parts_gone=1), 121, "not-finished", 120),
        (IN_TWO, replace(READY_ROW, parts=2, parts_ready=2, parts_gone=1), 121, "not-collected", 120),
        (Due(), replace(READY_ROW, state=OrderState.HANDED_OVER), 1, None, None),
        (Due(), replace(BEGUN, not_made_at=READY_BY), 1, None, None),
    ],
)
def test_what_was_missed_and_since_when(due, row, minutes, mark, since):
    found = missed_of(due, row, READY_BY + timedelta(minutes=minutes))
    assert (found and found.mark) == mark
    assert (found and found.due) == (None if since is None else READY_BY + timedelta(minutes=since))
