"""This module says how much later further batches must end to have room on a bench beside those that are placed."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from app.planning.flow import HANDS_ONLY
from app.planning.kept_flow import FlowJob, KeptFlow, Name
from app.planning.moments import seconds_down, seconds_up
from app.planning.schedule import Batch, Case

NEVER = 1 << 40
"""More seconds than any bench has."""


@dataclass(slots=True)
class Room:
    """The flow of the placed batches, kept from one question to the next. gases: the number of each gas."""

    gases: Mapping[str | None, int]
    flow: KeptFlow
    placed: dict[str, Batch] = field(default_factory=dict)

    @classmethod
    def of(cls, empty: Case) -> "Room":
        """Returns the room on a bench without batches."""
        gases: dict[str | None, int] = {name: number for number, name in enumerate(empty.gases)}
        return cls(gases | {None: HANDS_ONLY}, KeptFlow.empty(empty.bench))

    def steps_for(self, more: Sequence[Batch], placed: Iterable[Batch], step: int, most: int) -> int | None:
        """Returns how many steps later the further batches must all end to have room beside the placed ones, which
        all fit: 0 when there is room already, None when it takes more than the most steps.

        step: its seconds. Batches that are too much together stay so until they have time enough, so what is
        between is left out.
        """
        self._place(placed)
        jobs = {batch.key: self._job(batch) for batch in more}
        steps, more_steps, met = 0, 0, set[Name]()
        for key, job in jobs.items():
            met.update(self.flow.met if self.flow.add(key, job) else ())
        while any(job.left for job in jobs.values()) and steps <= most:
            more_steps = -(-self._delay(jobs, met) // step)
            steps += more_steps
            met = self._end_later(jobs, more_steps * step, met) if steps <= most else met
        for key in jobs:
            self.flow.remove(key)
        return steps if steps <= most else None

    def _end_later(self, jobs: Mapping[str, FlowJob], seconds: int, met: set[Name]) -> set[Name]:
        """Lets all of these jobs end later, and returns the batches that are too much together then."""
        if not _are_alike(jobs.values()):  # what is closed to one of them may be open to another
            self.flow.closed, met = [], set()
        for key, job in jobs.items():
            self.flow.end_at(key, job.end + seconds)
        for key in jobs:
            met.update(self.flow.met if self.flow.fill(key) else ())
        return met

    def _place(self, batches: Iterable[Batch]) -> None:
        """Lets the flow have these batches and no others; those that it has already keep their place."""
        wanted = {batch.key: batch for batch in batches}
        for key in [key for key, batch in self.placed.items() if wanted.get(key) is not batch]:
            self.flow.remove(key)
            del self.placed[key]
        for key in wanted.keys() - self.placed.keys():
            self.flow.add(key, self._job(wanted[key]))
            self.placed[key] = wanted[key]

    def _job(self, batch: Batch) -> FlowJob:
        """Returns the work on a batch in whole seconds."""
        begin, end = seconds_up(batch.not_before), seconds_down(batch.ready_by)
        return FlowJob(self.gases[batch.gas], begin, end, -int(-batch.work_seconds // 1))

    def _delay(self, more: Mapping[str, FlowJob], met: set[Name]) -> int:
        """Returns how many seconds later those of the further jobs that were met must end, at least, to make up for
        the missing hand-seconds, by the hands and points that no other job that was met can use."""
        missing, until = sum(job.left for job in more.values()), 0
        if _are_alike(more.values()):
            short = next(key for key, job in more.items() if job.left)
            until, met_later = self.flow.no_room_until(short, more.values())
            met |= met_later
        moving = [job for key, job in more.items() if key in met]
        first, last = min(job.end for job in moving), max(job.end for job in moving)
        jobs = [job for key in met if (job := self.flow.jobs[key]).end > first]
        for slot in self.flow.slots_after(max(first, until)):
            used = {job.gas for job in jobs if job.begin <= slot.start < job.end}
            usable = used | {job.gas for job in moving if job.begin <= slot.start}
            gain = slot.usable(usable) - slot.usable(used)
            if gain * (slot.end - slot.start) >= missing:
                return max(slot.start - last - -missing // gain, 1)
            missing -= gain * (slot.end - slot.start)
        return NEVER


def _are_alike(jobs: Collection[FlowJob]) -> bool:
    """Returns whether the jobs have one gas and one end, and all of them some time before it: then they find room in
    the same slots after it."""
    return len({(job.gas, job.end) for job in jobs}) == 1 and all(job.begin < job.end for job in jobs)
