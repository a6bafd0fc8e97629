"""This module finds how late each batch can start, one after another, so that all of them still fit.

A start that the hours of the batch alone allow is tried first. When there is no room for all of its work then, the
batches that stand in its way are too much for their hours, and so limit how late it can start: that start is tried
next. No start that is tried is ever too early, so the first one with which all work fits is the latest.
"""

from collections.abc import Iterable

from app.planning.arrays import IntArray, np
from app.planning.flow import Bench, Workload
from app.planning.kept_flow import FlowJob, KeptFlow, Name, fill_bench


def due_last_first(load: Workload) -> IntArray:
    """Returns the numbers of the batches, those that are due last first; of equal ones, the lower number first."""
    return np.lexsort((np.arange(len(load.ends)), -load.ends))


def latest_starts(bench: Bench, load: Workload, begins: IntArray, order: IntArray) -> tuple[IntArray, KeptFlow]:
    """Returns the latest starts, in seconds, at which a bench that fits still fits, and the flow with these starts.

    The starts are chosen one batch after another in the given order; a batch that is not in it keeps its own start.
    Each is the latest second at which everything fits while the batches chosen before keep their chosen starts and
    all others their own.
    """
    columns = (column.tolist() for column in (load.gas, begins, load.ends, load.work))
    flow = fill_bench(bench, {batch: FlowJob(*job) for batch, job in enumerate(zip(*columns, strict=True))})
    starts = begins.copy()
    for batch in order.tolist():
        starts[batch] = _latest_start(flow, batch, int(load.work[batch]))
    return starts, flow


def _latest_start(flow: KeptFlow, batch: int, work: int) -> int:
    """Lets a batch begin as late as it can, and returns when that is."""
    job = flow.jobs[batch]
    own, start = job.begin, _back(flow, batch, job.end, work, ()) if work else job.end
    met = set[Name]()
    while left := flow.begin_at(batch, max(start, own)):
        met.update(flow.met)
        start = _back(flow, batch, start, left, met)
    return max(start, own)


def _back(flow: KeptFlow, batch: int, start: int, missing: int, met: Iterable[Name]) -> int:
    """Returns to when the start of a batch must go back so that the batches that were met, which are too much for
    their hours by the missing hand-seconds, have time enough.

    Only the hands and points that none of the others can use make up for what is missing. Returns 0 when they are
    too few.
    """
    gas = flow.jobs[batch].gas
    others = [job for other in met if other != batch and (job := flow.jobs[other]).begin < start]
    for slot in flow.slots_before(start):
        gases = {job.gas for job in others if job.begin <= slot.start < job.end}
        gain = slot.usable({*gases, gas}) - slot.usable(gases)
        if gain * (slot.end - slot.start) >= missing:
            return slot.end - -(-missing // gain)
        missing -= gain * (slot.end - slot.start)
    return 0
