"""This module says whether further batches have room on a bench beside those that are placed, and if not, how much
later they must end."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import timedelta

from app.planning.flow import HANDS_ONLY
from app.planning.kept_flow import Job, KeptFlow, Name
from app.planning.moments import SECOND, seconds_down, seconds_up
from app.planning.schedule import Batch, Case

NONE, NEVER = timedelta(), timedelta.max


@dataclass(slots=True)
class Room:
    """The flow of the placed batches, kept from one question to the next. gases: the number of each gas."""

    gases: Mapping[str | None, int]
    flow: KeptFlow
    placed: dict[str, Batch] = field(default_factory=dict)

    @classmethod
    def of(cls, empty: Case) -> "Room":
        """Returns the room on a bench without batches."""
        gases = {name: number for number, name in enumerate(empty.gases)}
        return cls({**gases, None: HANDS_ONLY}, KeptFlow.empty(empty.bench))

    def delay_for(self, more: Sequence[Batch], placed: Iterable[Batch]) -> timedelta:
        """Returns how much later, at least, the further batches must end to have room beside the placed ones.

        The placed ones must fit. Returns NONE when there is room already, NEVER when there is none however late.
        """
        self._place(placed)
        missing, met = 0, set[Name]()
        for batch in more:
            if left := self.flow.add(batch.key, self._job(batch)):
                missing, met = missing + left, met.union(self.flow.met)
        delay = self._delay([batch.key for batch in more], missing, met) if missing else NONE
        for batch in more:
            self.flow.remove(batch.key)
        return delay

    def _place(self, batches: Iterable[Batch]) -> None:
        """Lets the flow have these batches and no others; those that it has already keep their place."""
        wanted = {batch.key: batch for batch in batches}
        for key in [key for key, batch in self.placed.items() if wanted.get(key) is not batch]:
            self.flow.remove(key)
            del self.placed[key]
        for key in wanted.keys() - self.placed.keys():
            self.flow.add(key, self._job(wanted[key]))
            self.placed[key] = wanted[key]

    def _job(self, batch: Batch) -> Job:
        """Returns the work on a batch in whole seconds."""
        begin, end = seconds_up(batch.not_before), seconds_down(batch.ready_by)
        return Job(self.gases[batch.gas], begin, end, -int(-batch.work_seconds // 1))

    def _delay(self, more: Iterable[Name], missing: int, met: Iterable[Name]) -> timedelta:
        """Returns how much later those of the further batches that were met must end, at least, to make up for the
        missing hand-seconds, by the hands and points that no other batch that was met can use."""
        jobs = [self.flow.jobs[key] for key in met]
        moving = [self.flow.jobs[key] for key in more if key in met]
        last = max(job.end for job in moving)
        for slot in self.flow.slots_after(min(job.end for job in moving)):
            used = {job.gas for job in jobs if job.begin <= slot.start < job.end}
            usable = used | {job.gas for job in moving if job.begin <= slot.start}
            gain = slot.usable(usable) - slot.usable(used)
            if gain * (slot.end - slot.start) >= missing:
                return max(slot.start - last - -missing // gain, 1) * SECOND
            missing -= gain * (slot.end - slot.start)
        return NEVER
