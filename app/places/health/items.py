"""What the health page shows: what was checked, when, and what was found. What was not checked is unknown."""

import shutil
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from enum import StrEnum
from typing import Any

from sqlalchemy.orm import Session

from app.actions.records.history import board_version
from app.store.engine import Database
from app.store.files import file_of
from app.store.queries.plan import load_plan
from app.web.notes import PlannerNotes, StoreNotes

LOW_DISK_BYTES = 500_000_000
"""Below this there may soon be no room for photos and orders."""
SLOW_PLAN = timedelta(minutes=3)
"""The planner looks once a minute; a plan that is behind for longer is stuck."""


class HealthState(StrEnum):
    """What a check found. UNKNOWN: it was not made, or nothing happened yet."""

    GOOD = "good"
    WARNING = "warning"
    FAILED = "failed"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class HealthItem:
    """What was found by one check. at: when it was made or the thing happened; None for never."""

    key: str
    state: HealthState
    at: datetime | None
    values: Mapping[str, Any] = field(default_factory=dict)


def items_with_database(
    database: Database, session: Session, notes: StoreNotes, planner: PlannerNotes | None, now: datetime
) -> list[HealthItem]:
    """Returns all items; it reads the database. Raises its error when it cannot be read."""
    return [
        HealthItem("database", HealthState.GOOD, now),
        _saving(database, now),
        *_noted(notes),
        _plan(session, planner, now),
        _disk(database, now),
    ]


def items_without_database(database: Database, sentence: str, notes: StoreNotes, now: datetime) -> list[HealthItem]:
    """Returns the items that need no database. sentence: why it cannot be read."""
    return [
        HealthItem("database", HealthState.FAILED, now, {"sentence": sentence}),
        *_noted(notes),
        _disk(database, now),
    ]


def _saving(database: Database, now: datetime) -> HealthItem:
    """Returns how the database keeps what is saved: a warning if a power cut can lose it."""
    facts = database.describe()
    waits = facts.synchronous not in ("OFF", "NORMAL")
    values = {
        "library": facts.library,
        "journal_mode": facts.journal_mode,
        "synchronous": facts.synchronous,
        "wal_race_fixed": facts.wal_race_fixed,
        "waits": waits,
    }
    return HealthItem("saving", HealthState.GOOD if waits else HealthState.WARNING, now, values)


def _noted(notes: StoreNotes) -> list[HealthItem]:
    """Returns what the program remembers since it started."""
    failed = HealthState.WARNING if notes.failed_at else HealthState.GOOD
    return [
        _happened("opened", notes.opened_at),
        _happened("write", notes.written_at),
        _integrity(notes),
        HealthItem("failure", failed, notes.failed_at, {"request": notes.failed_request}),
        _happened("backup", notes.backed_up_at),
    ]


def _integrity(notes: StoreNotes) -> HealthItem:
    """Returns what the last check of the whole file found."""
    if notes.damaged_at:
        return HealthItem("integrity", HealthState.FAILED, notes.damaged_at, {"which": "quick_check"})
    return _happened("integrity", notes.checked_at, which="quick_check")


def _happened(key: str, at: datetime | None, **values: str) -> HealthItem:
    return HealthItem(key, HealthState.GOOD if at else HealthState.UNKNOWN, at, values)


def _plan(session: Session, planner: PlannerNotes | None, now: datetime) -> HealthItem:
    """Returns how far the saved plan of the bench is behind the board, in changes of the board."""
    plan = load_plan(session)
    behind = board_version(session) - plan.board_version
    looked_at, failed_at = (planner.looked_at, planner.failed_at) if planner else (None, None)
    values = {"made_at": plan.made_at if plan.board_version else None, "behind": behind, "failed_at": failed_at}
    state = HealthState.GOOD
    if failed_at:
        state = HealthState.FAILED
    elif looked_at is None:
        state = HealthState.UNKNOWN
    elif behind and now - looked_at > SLOW_PLAN:
        state = HealthState.WARNING
    return HealthItem("plan", state, looked_at, values)


def _disk(database: Database, now: datetime) -> HealthItem:
    """Returns the free space beside the database file; unknown for a database on a server."""
    file = file_of(database.engine.url)
    try:
        free = shutil.disk_usage(file.parent).free if file else None
    except OSError:
        free = None
    if free is None:
        return HealthItem("disk", HealthState.UNKNOWN, None)
    return HealthItem(
        "disk", HealthState.GOOD if free >= LOW_DISK_BYTES else HealthState.WARNING, now, {"free": free}
    )
