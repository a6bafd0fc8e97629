"""This module says how much later further batches must end to have room on a bench beside those that are placed."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from app.planning.flow import HANDS_ONLY
from app.planning.kept_flow import KeptFlow
from app.planning.moments import seconds_down, seconds_up
from app.planning.schedule import Batch, Case
from app.planning.slot import FlowJob, Name
from app.planning.too_much import TooMuch, find_too_much

NEVER = 1 << 40
"""More seconds than any bench has."""


@dataclass(slots=True)
class Room:
    """The flow of the placed batches, kept from one question to the next.

    gases: the number of each gas. placed: the batches beside which room was last asked for. rows, others: the work
    on those, and on all others in the flow, by key, as it was before any of it had a place.
    """

    gases: Mapping[str | None, int]
    flow: KeptFlow
    placed: tuple[Batch, ...] = ()
    rows: dict[str, FlowJob] = field(default_factory=dict)
    others: dict[str, FlowJob] = field(default_factory=dict)

    @classmethod
    def of(cls, empty: Case) -> "Room":
        """Returns the room on a bench without batches."""
        gases: dict[str | None, int] = {name: number for number, name in enumerate(empty.gases)}
        return cls(gases | {None: HANDS_ONLY}, KeptFlow.empty(empty.bench))

    def steps_for(
        self, more: Sequence[Batch], placed: tuple[Batch, ...], beside: Sequence[Batch], step: int, most: int
    ) -> int | None:
        """Returns how many steps later the further batches must all end to have room beside the placed ones and
        those beside them, which all fit: 0 when there is room already, None when it takes more than the most steps.

        step: its seconds. Batches that are too much together stay so until they have time enough, so what is
        between is left out. Where they have room, they stay in the flow, because they are often placed there next.
        """
        if most < 0:
            return None
        self._place(placed, {batch.key: self._job(batch) for batch in beside})
        jobs, steps, met = {batch.key: self._job(batch) for batch in more}, 0, set[Name]()
        work = {key: job.left for key, job in jobs.items()}
        for key, job in jobs.items():
            met.update(self.flow.met if self.flow.add(key, job) else ())
        while any(job.left for job in jobs.values()):
            more_steps = -(-self._delay(jobs, met) // step) if steps < most else 1
            steps += more_steps
            if steps > most:
                for key in jobs:
                    self.flow.remove(key)
                return None
            self._end_later(jobs, more_steps * step, met)
        self.others |= {key: replace(job, left=work[key]) for key, job in jobs.items()}
        return steps

    def too_much(self, more: Sequence[Batch], placed: tuple[Batch, ...]) -> TooMuch | None:
        """Returns which batches are too much when further ones come to the placed ones, which all fit; None when
        there is room."""
        self._place(placed, {})
        for batch in more:
            self.flow.add(batch.key, self._job(batch))
        found = find_too_much(self.flow)
        for batch in more:
            self.flow.remove(batch.key)
        return found

    def _end_later(self, jobs: Mapping[str, FlowJob], seconds: int, met: set[Name]) -> None:
        """Lets all of these jobs end later, and has the batches met that are too much together then."""
        for key, job in jobs.items():
            self.flow.end_at(key, job.end + seconds)
        self._fill(jobs, met)
        movable = [key for key, job in jobs.items() if key in met and not job.left]
        if any(job.left for job in jobs.values()) and self.flow.has_room(movable, met):
            self.flow.closed = []  # what is closed to one of them is open where another makes room
            met.clear()
            self._fill(jobs, met)

    def _fill(self, jobs: Iterable[str], met: set[Name]) -> None:
        for key in jobs:
            met.update(self.flow.met if self.flow.fill(key) else ())

    def _place(self, placed: tuple[Batch, ...], wanted: dict[str, FlowJob]) -> None:
        """Lets the flow have the placed batches and these rows, and no others; what it has already keeps its
        place."""
        present, self.others = self.others, {**wanted}
        if placed is not self.placed:
            known = {batch.key: batch for batch in self.placed}
            rows = {
                batch.key: self.rows[batch.key] if known.get(batch.key) is batch else self._job(batch)
                for batch in placed
            }
            present, wanted = self.rows | present, rows | wanted
            self.placed, self.rows = placed, rows
        for key in [key for key, row in present.items() if wanted.get(key) != row]:
            self.flow.remove(key)
        self.flow.closed = []
        for key in [key for key, row in wanted.items() if present.get(key) != row]:
            self.flow.add(key, wanted[key].copy())

    def _job(self, batch: Batch) -> FlowJob:
        """Returns the work on a batch in whole seconds."""
        begin, end = seconds_up(batch.not_before), seconds_down(batch.ready_by)
        return FlowJob(gas=self.gases[batch.gas], begin=begin, end=end, left=-int(-batch.work_seconds // 1))

    def _delay(self, more: Mapping[str, FlowJob], met: set[Name]) -> int:
        """Returns how many seconds later those of the further jobs that were met must end, at least, to make up for
        the missing hand-seconds, by the hands and points that no other job that was met can use."""
        missing, no_room = sum(job.left for job in more.values()), self.flow.no_room_within(more, met)
        moving = [job for key, job in more.items() if key in met]
        first, last = min(job.end for job in moving), max(job.end for job in moving)
        jobs = [job for key in met if (job := self.flow.jobs[key]).end > first]
        for slot in self.flow.slots_after(first + no_room):
            used = {job.gas for job in jobs if job.begin <= slot.start < job.end}
            usable = used | {job.gas for job in moving if job.begin <= slot.start}
            gain = slot.usable(usable) - slot.usable(used)
            if gain * (slot.end - slot.start) >= missing:
                return max(slot.start - last - -missing // gain, no_room + 1)
            missing -= gain * (slot.end - slot.start)
        return NEVER
