"""The batches of the board. Each is kept with its drawn rows: it is worked out and drawn again only when something
that it shows has changed, or when the clock changes it."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from app.actions.records.open_work import work_key
from app.places.bench.missing import missing_of
from app.places.bench.sections import Job
from app.places.bench.sizer import is_sized, point_of
from app.planning.window import Verdict
from app.quoting.states import OrderState
from app.store.queries.bench import BoardRow
from app.web.batch_state import BatchState, display_changes
from app.web.batch_view import BoardBatch
from app.web.htmx import MAX_PAGE_AGE
from app.web.requests import RequestContext, request_context, served_app
from app.web.wording.batches import due_words, filled_help, row_label, wait_words
from app.web.wording.plan import PlanOfBatch, PlanWords

MINUTE = timedelta(minutes=1)
GIVEN_UP = (BatchState.CANCELLED, BatchState.NOT_MADE, BatchState.NOT_NEEDED)
LONGEST_COUNTED = timedelta(hours=1)
"""What is later than that is not counted by the minute."""


@dataclass(frozen=True, slots=True)
class JobSource:
    """All that the board shows of a batch, but for the moment. today: the date on the shop's clock. missing: how
    many of which of its colours are not in stock."""

    row: BoardRow
    plan: PlanOfBatch
    shop_version: int | None
    today: date
    missing: tuple[tuple[str, int], ...] = ()


@dataclass(frozen=True, slots=True)
class ShownTap:
    """The last tap of a batch, which may be undone."""

    id: int
    act: str
    count: int
    colour: str


@dataclass(frozen=True, slots=True)
class KeptJob:
    """A batch as the board shows it from a moment until another.

    badge: its state with the time that still counts. sorting: how it is sorted into the sections. drawn: its rows,
    by all else on which they depend.
    """

    source: JobSource
    batch: BoardBatch
    badge: str
    last_tap: ShownTap | None
    sorting: Job
    until: datetime
    drawn: dict[tuple[object, ...], str] = field(default_factory=dict)

    def is_shown(self, source: JobSource, now: datetime) -> bool:
        """Returns whether the batch is still shown like this."""
        return self.batch.now <= now < self.until and self.source == source


@dataclass(frozen=True, slots=True)
class ShownJob:
    """A batch in its section. is_joined: whether the sizer stays as it is for the one before. is_moved: whether it
    stands before others with an earlier latest start for that. question: asked before it is started too early; else
    empty."""

    kept: KeptJob
    is_joined: bool = False
    is_moved: bool = False
    question: str = ""

    @property
    def batch(self) -> BoardBatch:
        return self.kept.batch

    @property
    def badge(self) -> str:
        return self.kept.badge

    @property
    def last_tap(self) -> ShownTap | None:
        return self.kept.last_tap

    @property
    def label(self) -> str:
        """Its row as one sentence, to be read aloud."""
        row = self.batch.row
        return row_label(self.batch.inflate_by, row.quantity, row.balloon_type_name, self.badge, row.key)

    @property
    def missing(self) -> tuple[tuple[str, int], ...]:
        """How many of which of its colours are not in stock."""
        return self.kept.source.missing

    @property
    def has_notes(self) -> bool:
        """Whether something may have to be said besides: of the sizer, of a change or of bursts."""
        return bool(self.is_joined or self.batch.row.started_as or self.batch.row.bursts)

    @property
    def is_unsafe(self) -> bool:
        """Whether it may not last, and its customer does not know yet."""
        batch, row = self.batch, self.batch.row
        if row.accepted_risk or batch.is_over or batch.state in GIVEN_UP or row.order_state != OrderState.OPEN:
            return False
        return batch.verdict is not Verdict.SAFE

    @property
    def help_for_filled(self) -> str:
        """What can still be done if it is filled; empty if it is not."""
        batch, row = self.batch, self.batch.row
        if not row.filled_at:
            return ""
        return filled_help(row.material, batch.planned_start if batch.now <= row.inflate_by else "")


def kept_jobs(rows: Iterable[BoardRow], plan: PlanWords) -> dict[str, KeptJob]:
    """Returns batches as the board shows them at this moment, by their keys."""
    here, kept = request_context(), served_app().kept_jobs
    now, version, today = here.now, here.shop_version, here.formats.local(here.now).date()
    jobs: dict[str, KeptJob] = {}
    for row in rows:
        of_plan = plan.of_batch(row.key, work_key(row.order_number, row.part))
        source, place = JobSource(row, of_plan, version, today, missing_of(row, here)), (row.key, plan.day)
        job: KeptJob | None = kept.get(place)
        if job is None or not job.is_shown(source, now):
            job = _make_job(source, here)
            if version is not None:
                kept.put(place, job)
        jobs[row.key] = job
    return jobs


def _make_job(source: JobSource, here: RequestContext) -> KeptJob:
    """Returns a batch as it is worked out anew."""
    row, batch = source.row, BoardBatch(source.row, here.shop, here.formats, here.now, source.plan)
    return KeptJob(source, batch, _badge(batch), _last_tap(row), _sorting(batch), _shown_until(batch))


def _badge(batch: BoardBatch) -> str:
    """Returns the state of a batch with the time that still counts. No minutes are counted while the shop is
    closed, because nobody is there to start at their end."""
    here = request_context()
    if batch.early and not _counts_down(batch):
        return wait_words(batch.early, here.formats, here.formats.local(here.now).date())
    if batch.early or batch.state is BatchState.DUE:
        return due_words((batch.early.starts_from if batch.early else batch.latest) - here.now)
    return batch.state_word


def _counts_down(batch: BoardBatch) -> bool:
    """Returns whether the minutes until an early batch may be started are counted."""
    if batch.early is None or not batch.shop.opening.is_open(batch.now):
        return False
    return batch.early.starts_from <= batch.now + timedelta(minutes=batch.shop.soon_minutes)


def _shown_until(batch: BoardBatch) -> datetime:
    """Returns the moment at which the clock alone may change what is shown of a batch."""
    now, changes = batch.now, display_changes(batch.row, batch.shop, batch.now, batch.window)
    minute = [now.replace(second=0) + MINUTE] if _counts_down(batch) or _is_counted(batch) else []
    coming = (at for at in (*changes, batch.row.lasts_until, *minute) if at and at > now)
    return min((*coming, now + MAX_PAGE_AGE))


def _is_counted(batch: BoardBatch) -> bool:
    """Returns whether the minutes until its start, or since, stand on the board."""
    row, now = batch.row, batch.now
    if row.started_at or row.not_made_at:
        return False
    return batch.latest - timedelta(minutes=batch.shop.soon_minutes) <= now < batch.latest + LONGEST_COUNTED


def _last_tap(row: BoardRow) -> ShownTap | None:
    """Returns the tap of a batch that may be undone."""
    if row.last_tap_id is None or row.order_state != OrderState.OPEN or row.not_made_at:
        return None
    return ShownTap(row.last_tap_id, row.last_tap_act or "", row.last_tap_count or 0, row.last_tap_colour or "")


def _sorting(batch: BoardBatch) -> Job:
    """Returns the batch as the sorting sees it."""
    row, early = batch.row, batch.early
    return Job(
        row.key,
        batch.state,
        batch.latest,
        early.starts_from if early else None,
        started_by=row.started_by,
        setting=(row.gas, point_of(row), round(row.fill_size_in, 2)) if is_sized(row) else None,
        work=timedelta(minutes=row.work_minutes * row.left / max(row.quantity, 1)),
        filled_at=row.filled_at,
    )
