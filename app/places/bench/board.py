"""Bench: the board of a day, as its page shows it."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from app.actions.errors import TooEarly
from app.actions.records.batches import read_float_plan
from app.actions.records.history import board_version
from app.places.bench.leftovers import leftovers_of
from app.places.bench.risks import due_on, risks_of
from app.places.bench.sections import Job, sort_into_sections
from app.places.bench.sizer import is_sized, point_of, settings_of
from app.store.queries.bench import BoardRow, batches_after, batches_ahead, batches_of_day
from app.web.batch_state import BatchState, display_changes
from app.web.batch_view import BoardBatch, show_batch
from app.web.days import ShopDay, day_of_work
from app.web.htmx import new_key, page_version
from app.web.requests import request_context
from app.web.wording.batches import due_words, early_question, wait_words
from app.web.wording.plan import PlanWords, news_sentence

MINUTE = timedelta(minutes=1)
LONGEST_COUNTED = timedelta(hours=1)
"""What is later than that is not counted by the minute."""


@dataclass(frozen=True, slots=True)
class ShownTap:
    """The last tap of a batch, which may be undone."""

    id: int
    act: str
    count: int
    colour: str


@dataclass(frozen=True, slots=True)
class ShownJob:
    """A batch in its section. badge: its state with the time that still counts. is_joined: whether the sizer
    stays as it is for the one before. question: asked before it is started too early; else empty."""

    batch: BoardBatch
    badge: str
    is_joined: bool
    last_tap: ShownTap | None
    question: str


@dataclass(frozen=True, slots=True)
class ShownSections:
    """The sections of a day with their batches. day: theirs, which is a later one once today's work is done."""

    day: ShopDay
    left: int
    now: tuple[ShownJob, ...]
    others: tuple[ShownJob, ...]
    next: tuple[ShownJob, ...]
    too_early: tuple[ShownJob, ...]
    done: tuple[ShownJob, ...]
    unsafe: tuple[ShownJob, ...]


def rows_of(day: ShopDay) -> list[BoardRow]:
    """Returns the batches of the day."""
    here = request_context()
    return batches_of_day(here.session, day.start, day.end, is_today=day.is_today, now=here.now)


def shown_board(day: ShopDay, ask: str) -> dict[str, Any]:
    """Returns what the template of the board shows. ask: the key of a batch about which it asks whether it is to be
    started too early; empty if none."""
    here = request_context()
    rows, plan = rows_of(day), _plan_of(day)
    sections = _show(rows, day, ask)
    following = _next_days_work(day) if day.is_today and not sections.left else []
    opens_at = here.shop.opening.first_open(here.now)
    ahead = batches_ahead(here.session, day.end, opens_at) if day.is_today else []
    ahead = [row for row in ahead if row.key not in {one.key for one in following}]
    return {
        "day": day,
        "sections": sections,
        "later": _show(following, day_of_work(following[0].inflate_by, here), ask) if following else None,
        "ahead": [_job(show_batch(row, here.shop, here.formats, here.now, plan)) for row in ahead],
        "ahead_from": opens_at if opens_at > here.now else None,
        "leftovers": leftovers_of(day),
        "new_key": new_key,
        "ask": ask,
        "settings": settings_of(rows, day),
        "risks": risks_of(due_on(day, here.plan.delays), day.clock_date),
        "news": _news(day),
        "stale": bool(rows or ahead) and here.plan.board_version < board_version(here.session),
        "version": _version([*rows, *following, *ahead], day),
        "now": here.now,
    }


def change_times(rows: Iterable[BoardRow]) -> list[datetime | None]:
    """Returns the moments at which the state of a batch changes by itself."""
    here = request_context()
    return [turn for row in rows for turn in display_changes(row, here.shop, here.now)]


def _version(rows: Sequence[BoardRow], day: ShopDay) -> str:
    """Returns the version of the board; it changes with each minute while a time is counted on it."""
    here = request_context()
    ends = [row.lasts_until for row in rows if row.lasts_until]
    minute = [here.now.replace(second=0) + MINUTE] if any(_is_counted(row) for row in rows) else []
    return page_version(here.session, [*change_times(rows), day.midnight, day.end, *ends, *minute], here.now)


def _is_counted(row: BoardRow) -> bool:
    """Returns whether the minutes until its start, or since, stand on the board."""
    here = request_context()
    if row.started_at or row.not_made_at:
        return False
    return row.inflate_by - timedelta(minutes=here.shop.soon_minutes) <= here.now < row.inflate_by + LONGEST_COUNTED


def _next_days_work(day: ShopDay) -> list[BoardRow]:
    """Returns the batches of the next day that has any."""
    here = request_context()
    rows = batches_after(here.session, day.end)
    days = [here.shop.opening.day_of(row.inflate_by) for row in rows]
    return [row for row, of_row in zip(rows, days, strict=True) if of_row == days[0]]


def _plan_of(day: ShopDay) -> PlanWords:
    here = request_context()
    return PlanWords.of(here.plan, here.formats, day.clock_date)


def _show(rows: Sequence[BoardRow], day: ShopDay, ask: str) -> ShownSections:
    """Returns the batches of a day in their sections."""
    here, plan = request_context(), _plan_of(day)
    batches = {row.key: show_batch(row, here.shop, here.formats, here.now, plan) for row in rows}
    soon = timedelta(minutes=here.shop.soon_minutes)
    works_from = here.shop.opening.first_open(here.now)
    sorted_as = map(_sorted_as, batches.values())
    found = sort_into_sections(sorted_as, here.context.who, works_from, soon, is_today=day.is_today)
    jobs = {key: _job(batch, ask, is_joined=key in found.joined) for key, batch in batches.items()}
    in_sections = {name: tuple(jobs[key] for key in getattr(found, name)) for name in
                   ("now", "others", "next", "too_early", "done")}  # fmt: skip
    unsafe = (jobs[key] for key in (*found.now, *found.others, *found.next, *found.too_early))
    return ShownSections(
        day, found.left, **in_sections, unsafe=tuple(job for job in unsafe if _is_unsafe(job.batch))
    )


def _is_unsafe(batch: BoardBatch) -> bool:
    """Returns whether its customer does not know yet that it may not last."""
    return batch.verdict != "safe" and not batch.row.accepted_risk


def _sorted_as(batch: BoardBatch) -> Job:
    """Returns the batch as the sorting sees it."""
    row, early = batch.row, batch.early
    return Job(
        row.key,
        batch.state,
        row.inflate_by,
        early.starts_from if early else None,
        started_by=row.started_by,
        setting=(row.gas, point_of(row), round(row.fill_size_in, 2)) if is_sized(row) else None,
        work=timedelta(minutes=row.work_minutes * row.left / max(row.quantity, 1)),
        filled_at=row.filled_at,
    )


def _job(batch: BoardBatch, ask: str = "", *, is_joined: bool = False) -> ShownJob:
    """Returns a batch as its section shows it."""
    row = batch.row
    return ShownJob(
        batch,
        _badge(batch),
        is_joined,
        _last_tap(row),
        _question(batch) if batch.early and row.key == ask else "",
    )


def _badge(batch: BoardBatch) -> str:
    """Returns the state of a batch with the time that still counts. No minutes are counted while the shop is
    closed, because nobody is there to start at their end."""
    here, row = request_context(), batch.row
    soon = timedelta(minutes=here.shop.soon_minutes)
    is_open = here.shop.opening.is_open(here.now)
    if batch.early and (not is_open or batch.early.starts_from > here.now + soon):
        return wait_words(batch.early, here.formats, here.formats.local(here.now).date())
    if batch.early or batch.state is BatchState.DUE:
        return due_words((batch.early.starts_from if batch.early else row.inflate_by) - here.now)
    return batch.state_word


def _last_tap(row: BoardRow) -> ShownTap | None:
    """Returns the tap of a batch that may be undone."""
    if row.last_tap_id is None or row.order_state != "open" or row.not_made_at:
        return None
    return ShownTap(row.last_tap_id, row.last_tap_act or "", row.last_tap_count or 0, row.last_tap_colour or "")


def _question(batch: BoardBatch) -> str:
    """Returns what is asked before a batch is started too early."""
    here, early = request_context(), batch.early
    if early is None:
        return ""
    plan = read_float_plan(batch.row.float_plan)
    asked = TooEarly(early, plan.chance(here.now), plan.chance(batch.row.inflate_by))
    return early_question(asked, here.formats, here.formats.local(here.now).date())


def _news(day: ShopDay) -> list[tuple[datetime, str]]:
    """Returns what changed in the plan; only today's page has any."""
    here = request_context()
    found = here.plan.news if day.is_today else ()
    return [(one.at, news_sentence(one, here.formats, day.clock_date)) for one in found]
