"""This module sorts the batches of a day into the sections of the board. It is pure: the moment, the name and the
batches are passed in.

While the shop is closed, the board is that of its next opening: whatever can be started by then, or soon after it,
stands in Now and Next, with the time from which it can; only what must wait longer stands in Too early.
"""

from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from app.web.batch_state import BatchState

RUNNING = (BatchState.STARTED, BatchState.IDLE)
WAITING = (BatchState.OPEN, BatchState.DUE, BatchState.LATE, BatchState.STOPPED, BatchState.EARLY)
OVER = (BatchState.FILLED, BatchState.NOT_MADE, BatchState.NOT_NEEDED)
CAN_JOIN = (BatchState.OPEN, BatchState.DUE, BatchState.STOPPED)
"""States in which a batch may be moved forward to others of its size."""
TOGETHER_WITHIN = timedelta(hours=4)
"""How much later a batch may be than the one to which it is moved: much later ones look out of order there."""


@dataclass(frozen=True, slots=True)
class Job:
    """A batch as the sorting sees it.

    latest: its latest start. earliest: from when it may be started; None at any hour. started_by: whose tap was its
    first; None until it is tapped. setting: what must be equal for two batches to share the sizer; None if it goes
    through none. work: how long the rest of it takes one person. filled_at: when it was full; None until it is.
    """

    key: str
    state: BatchState
    latest: datetime
    earliest: datetime | None = None
    started_by: str | None = None
    setting: Hashable | None = None
    work: timedelta = timedelta()
    filled_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Sections:
    """The keys of each section, in their order.

    now: the panels, first the one on which the eye falls: what the name of this device is filling, else what to
    start next. others: what others are filling, and what must be stopped. joined: the ones of `next` that need no
    other setting of the sizer than what stands before them. moved: the ones of these that stand before a batch with
    an earlier latest start.
    """

    now: tuple[str, ...] = ()
    others: tuple[str, ...] = ()
    next: tuple[str, ...] = ()
    too_early: tuple[str, ...] = ()
    done: tuple[str, ...] = ()
    joined: frozenset[str] = frozenset()
    moved: frozenset[str] = frozenset()

    @property
    def left(self) -> int:
        """How many batches are still to be filled."""
        return len(self.now) + len(self.others) + len(self.next) + len(self.too_early)


def sort_into_sections(
    jobs: Iterable[Job], who: str, works_from: datetime, soon: timedelta, *, is_today: bool = True
) -> Sections:
    """Returns which batch stands where.

    who: the name as which the device works. works_from: the moment from which work can be done: now, or the next
    opening while the shop is closed. soon: how long before its time a batch that must wait stands among the others.
    is_today: if not, all of the day's batches must wait, so they all stand among the others.
    """
    in_order = sorted(jobs, key=lambda job: (job.latest, job.key))
    running = [job for job in in_order if job.state in RUNNING]
    own = [job for job in running if job.started_by == who]
    to_stop = [job for job in in_order if job.state is BatchState.CANCELLED and not job.filled_at]
    waiting = [job for job in in_order if job.state in WAITING]
    early = [job for job in waiting if is_today and _must_wait(job, works_from + soon)]
    ready = _without(waiting, early)
    lead = own or _first(ready, works_from) or early[:1]
    rest = _without(ready, lead)
    following = stand_together(lead, rest, early, works_from) if is_today else rest
    joined = _joined(lead[-1:], following)
    return Sections(
        now=_keys(lead),
        others=_keys([*_without(running, own), *to_stop]),
        next=_keys(following),
        too_early=_keys(_without(early, lead)),
        done=_keys(_done(in_order)),
        joined=joined,
        moved=frozenset(
            job.key
            for place, job in enumerate(following)
            if job.key in joined and any(later.latest < job.latest for later in following[place:])
        ),
    )


def _without(jobs: Iterable[Job], others: Iterable[Job]) -> list[Job]:
    """Returns the batches without those others."""
    keys = {job.key for job in others}
    return [job for job in jobs if job.key not in keys]


def _joined(lead: Sequence[Job], following: Sequence[Job]) -> frozenset[str]:
    """Returns which of the batches that follow need no other setting of the sizer than the one before."""
    pairs = zip([*lead, *following], following if lead else following[1:], strict=False)
    return frozenset(job.key for before, job in pairs if job.setting is not None and job.setting == before.setting)


def _first(ready: Sequence[Job], works_from: datetime) -> Sequence[Job]:
    """Returns the batch to start next, if there is any: the one with the first latest start, or while that must
    wait, the first that can be started meanwhile and leaves time for all that it passes over."""
    for place, job in enumerate(ready):
        can_start = job.earliest is None or job.earliest <= works_from
        if can_start and _all_in_time(ready[:place], works_from + job.work):
            return [job]
    return ready[:1]


def stand_together(
    lead: Sequence[Job], following: Sequence[Job], early: Sequence[Job], works_from: datetime
) -> list[Job]:
    """Returns the batches that follow, those of one setting right after each other where that harms no window.

    It is calculated for one person, who fills one batch after the other from that moment on: whatever is passed
    over, and what must still wait (early), must start in time, and what moves forward must be old enough to start.
    """
    placed, rest = list(lead[-1:]), list(following)
    clock = works_from + sum((job.work for job in placed), timedelta())
    while rest:
        ahead = _joins(placed[-1], rest, early, clock) if placed else 0
        job = rest.pop(ahead)
        placed.append(job)
        clock = max(clock, job.earliest or clock) + job.work
    return placed[len(lead[-1:]) :]


def _joins(before: Job, rest: Sequence[Job], early: Sequence[Job], clock: datetime) -> int:
    """Returns the place of the batch that stands best after the one before: the first of the same setting if it
    harms no window, else the first of all."""
    same = (place for place, job in enumerate(rest) if before.setting is not None and job.setting == before.setting)
    place = next(same, 0)
    job = rest[place]
    if job.state not in CAN_JOIN or (job.earliest and job.earliest > clock):
        return 0
    if job.latest - before.latest > TOGETHER_WITHIN:
        return 0
    passed = [*rest[:place], *(one for one in early if one.latest < job.latest)]
    return place if _all_in_time(passed, clock + job.work) else 0


def _all_in_time(jobs: Iterable[Job], clock: datetime) -> bool:
    """Returns whether one person who is free from this moment starts each of the batches in time."""
    for job in sorted(jobs, key=lambda one: one.latest):
        clock = max(clock, job.earliest or clock)
        if clock > job.latest:
            return False
        clock += job.work
    return True


def _must_wait(job: Job, soon: datetime) -> bool:
    """Returns whether a batch must wait longer than that."""
    return job.state is BatchState.EARLY and job.earliest is not None and job.earliest > soon


def _done(jobs: Iterable[Job]) -> list[Job]:
    """Returns what is filled or was given up, the last first."""
    over = (job for job in jobs if job.state in OVER or _is_over(job))
    return sorted(over, key=lambda job: job.filled_at or job.latest, reverse=True)


def _is_over(job: Job) -> bool:
    return job.state is BatchState.CANCELLED and job.filled_at is not None


def _keys(jobs: Iterable[Job]) -> tuple[str, ...]:
    return tuple(job.key for job in jobs)
