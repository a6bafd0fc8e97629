"""This module finds how late each batch can start, one after another, so that all of them still fit.

A start that the hours of the batch alone allow is tried first. When there is no room for all of its work then, the
batches that stand in its way are too much for their hours, and so limit how late it can start: that start is tried
next. No start that is tried is ever too early, so the first one with which all work fits is the latest.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field

from app.planning.arrays import IntArray, np
from app.planning.flow import HANDS_ONLY, Bench, Workload
from app.planning.kept_flow import KeptFlow
from app.planning.slot import FlowJob, Name


def due_last_first(load: Workload) -> IntArray:
    """Returns the numbers of the batches, those that are due last first; of equal ones, the lower number first."""
    return np.lexsort((np.arange(len(load.ends)), -load.ends))


def latest_starts(bench: Bench, load: Workload, begins: IntArray, order: IntArray) -> tuple[IntArray, KeptFlow]:
    """Returns the latest starts, in seconds, at which a bench that fits still fits, and the flow with these starts.

    The starts are chosen one batch after another in the given order; a batch that is not in it keeps its own start.
    Each is the latest second at which everything fits while the batches chosen before keep their chosen starts and
    all others their own.
    """
    flow = _filled(bench, load, begins)
    starts = begins.copy()
    for batch in order.tolist():
        starts[batch] = _latest_start(flow, batch, int(load.work[batch]))
    return starts, flow


def _filled(bench: Bench, load: Workload, begins: IntArray) -> KeptFlow:
    """Returns the flow of as much of the workload as fits. Batches have their numbers as names."""
    columns = (column.tolist() for column in (load.gas, begins, load.ends, load.work))
    flow = KeptFlow.empty(bench, [*begins.tolist(), *load.ends.tolist()])
    flow.jobs = {
        batch: FlowJob(gas=gas, begin=begin, end=end, left=work)
        for batch, (gas, begin, end, work) in enumerate(zip(*columns, strict=True))
    }
    for batch in sorted(flow.jobs, key=lambda batch: flow.jobs[batch].end):
        flow.fill(batch)
    return flow


def _latest_start(flow: KeptFlow, batch: int, work: int) -> int:
    """Lets a batch begin as late as it can, and returns when that is."""
    job, others = flow.jobs[batch], _Others(flow, batch, flow.jobs[batch].end)
    own, start = job.begin, others.back(job.end, work) if work else job.end
    while left := flow.begin_at(batch, max(start, own)):
        others.meet(flow.met)
        start = others.back(start, left)
    return max(start, own)


@dataclass(slots=True)
class _Others:
    """The batches that stand in the way of one.

    taken_from: from then on, up to where the search is, some of them can use every hand or point that the one can
    use, so that hours there make up for nothing.
    """

    flow: KeptFlow
    batch: int
    taken_from: int
    jobs: list[FlowJob] = field(default_factory=list)

    def meet(self, met: Iterable[Name]) -> None:
        """Adds batches, each of which shares time with one that was added before it."""
        for name in met:
            if name != self.batch:
                job = self.flow.jobs[name]
                self.jobs.append(job)
                if job.gas in (self.flow.jobs[self.batch].gas, HANDS_ONLY) and job.end >= self.taken_from:
                    self.taken_from = min(self.taken_from, job.begin)

    def back(self, start: int, missing: int) -> int:
        """Returns to when the start of the one must go back so that all of them, which are too much for their hours
        by the missing hand-seconds, have time enough.

        Only the hands and points that none of the others can use make up for what is missing. Returns 0 when they
        are too few.
        """
        gas, self.taken_from = self.flow.jobs[self.batch].gas, min(self.taken_from, start)
        self.jobs = [job for job in self.jobs if job.begin < self.taken_from]
        for slot in self.flow.slots_before(self.taken_from):
            gases = {job.gas for job in self.jobs if job.begin <= slot.start < job.end}
            gain = slot.usable({*gases, gas}) - slot.usable(gases)
            if gain * (slot.end - slot.start) >= missing:
                return slot.end - -(-missing // gain)
            missing -= gain * (slot.end - slot.start)
        return 0
