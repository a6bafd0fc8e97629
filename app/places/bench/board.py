"""Bench: the board of a day, as its page shows it."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from flask import render_template

from app.actions.errors import TooEarly
from app.actions.records.history import board_version
from app.places.bench.drawn_board import BoardDrawing, DrawnBoard
from app.places.bench.jobs import KeptJob, ShownJob, kept_jobs
from app.places.bench.leftovers import leftovers_of
from app.places.bench.links import BatchLinks
from app.places.bench.risks import due_on, phones_of, risks_of
from app.places.bench.sections import sort_into_sections
from app.places.bench.sizer import settings_of
from app.store.queries.bench import BoardRow, batches_after, batches_ahead, batches_of_day
from app.store.queries.plan import plan_version
from app.store.work_version import work_version
from app.web.batch_state import display_changes
from app.web.batch_view import BoardBatch
from app.web.days import ShopDay, day_of_work
from app.web.htmx import MAX_PAGE_AGE
from app.web.marks import with_marks
from app.web.requests import request_context, served_app
from app.web.wording.batches import early_question
from app.web.wording.plan import PlanWords, news_sentence

LOOKS_AGAIN = timedelta(seconds=10)
"""So long a board is shown that says that its times are being updated."""


@dataclass(frozen=True, slots=True)
class ShownSections:
    """The sections of a day with their batches. day: theirs, which is a later one once today's work is done.
    unsafe: batches that may not last, each with the phone of whom to call; empty if none is known. until: the
    moment at which the clock alone may change one of them."""

    day: ShopDay
    left: int
    now: tuple[ShownJob, ...]
    others: tuple[ShownJob, ...]
    next: tuple[ShownJob, ...]
    too_early: tuple[ShownJob, ...]
    done: tuple[ShownJob, ...]
    unsafe: tuple[tuple[ShownJob, str], ...]
    until: datetime

    @property
    def last_done(self) -> BoardRow | None:
        """The batch that was filled last; None if none is."""
        now = request_context().now
        filled = (job.batch.row for job in self.done)
        return next((row for row in filled if row.filled_at and row.filled_at <= now), None)


def rows_of(day: ShopDay) -> list[BoardRow]:
    """Returns the batches of the day."""
    here = request_context()
    return batches_of_day(here.session, day.start, day.end, is_today=day.is_today, now=here.now)


def kept_board(day: ShopDay, ask: str) -> DrawnBoard:
    """Returns the board of a day as it is shown at this moment, for whoever works at this device. ask: the key of a
    batch about which it asks whether it is to be started too early; empty if none."""
    here, kept = request_context(), served_app().kept_boards
    place, made_from = (day.local_date, day.is_today, here.who, ask), _versions()
    return kept.get_or_make(
        place,
        lambda known: known.is_shown(made_from, here.now),
        lambda: draw_board(day, ask, made_from=made_from),
        lambda made: None not in made.made_from,
    )


def draw_board(
    day: ShopDay, ask: str = "", problem: str = "", made_from: tuple[int | None, ...] | None = None
) -> DrawnBoard:
    """Returns the board, drawn anew from the rows that are kept. problem: why a tap was not saved. made_from: the
    versions, if they are known."""
    here, drawing, shown = request_context(), BoardDrawing(), _shown(day, ask)
    frame = render_template(
        "bench/_board.html",
        **shown,
        ask=ask,
        problem=problem,
        drawing=drawing,
        new_key=drawing.new_key,
        links=BatchLinks.of(None if day.is_today else day.local_date),
    )
    return DrawnBoard(with_marks(frame), drawing.rows, made_from or _versions(), here.now, _shown_until(shown))


def _versions() -> tuple[int | None, ...]:
    """Returns the versions of all that the board shows."""
    here = request_context()
    return (
        board_version(here.session),
        plan_version(here.session),
        here.shop_version,
        work_version(here.session),
    )


def _shown(day: ShopDay, ask: str) -> dict[str, Any]:
    """Returns what the template of the board shows."""
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
        "ahead": [ShownJob(job) for job in kept_jobs(ahead, plan).values()],
        "ahead_from": opens_at if opens_at > here.now else None,
        "leftovers": leftovers_of(day),
        "settings": settings_of(rows, day),
        "risks": risks_of(due_on(day, here.plan.delays), day.clock_date),
        "news": _news(day),
        "stale": bool(rows or ahead) and here.plan.board_version < board_version(here.session),
    }


def _shown_until(shown: dict[str, Any]) -> datetime:
    """Returns the moment at which the clock alone may change the board."""
    day, sections, later = shown["day"], shown["sections"], shown["later"]
    jobs: list[KeptJob] = [job.kept for job in shown["ahead"]]
    of_sections = [found.until for found in (sections, later) if found]
    now = request_context().now
    of_day = [at for at in (day.midnight, day.end) if at > now]
    of_plan = [now + LOOKS_AGAIN] if shown["stale"] else []
    return min([*of_sections, *of_day, *of_plan, *(job.until for job in jobs)])


def change_times(rows: Iterable[BoardRow]) -> list[datetime | None]:
    """Returns the moments at which the state of a batch changes by itself."""
    here = request_context()
    return [turn for row in rows for turn in display_changes(row, here.shop, here.now)]


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
    kept = kept_jobs(rows, plan)
    soon = timedelta(minutes=here.shop.soon_minutes)
    works_from = here.shop.opening.first_open(here.now)
    sorting = (job.sorting for job in kept.values())
    found = sort_into_sections(sorting, here.context.who, works_from, soon, is_today=day.is_today)
    jobs = {
        key: ShownJob(job, key in found.joined, key in found.moved, _question(job.batch) if key == ask else "")
        for key, job in kept.items()
    }
    in_sections = {name: tuple(jobs[key] for key in getattr(found, name)) for name in
                   ("now", "others", "next", "too_early", "done")}  # fmt: skip
    to_fill = (*found.now, *found.others, *found.next, *found.too_early)
    unsafe = [job for key in (*to_fill, *found.done) if (job := jobs[key]).is_unsafe]
    return ShownSections(
        day,
        found.left,
        **in_sections,
        unsafe=tuple(zip(unsafe, phones_of(job.batch.row.order_number for job in unsafe), strict=True)),
        until=min((job.until for job in kept.values()), default=here.now + MAX_PAGE_AGE),
    )


def _question(batch: BoardBatch) -> str:
    """Returns what is asked before a batch is started too early."""
    here, early = request_context(), batch.early
    if early is None:
        return ""
    plan = batch.float_plan
    asked = TooEarly(early, plan.chance(here.now), plan.chance(batch.row.inflate_by))
    return early_question(asked, here.formats, here.formats.local(here.now).date())


def _news(day: ShopDay) -> list[tuple[datetime, str]]:
    """Returns what changed in the plan; only today's page has any."""
    here = request_context()
    found = here.plan.news if day.is_today else ()
    return [(one.at, news_sentence(one, here.formats, day.clock_date)) for one in found]
