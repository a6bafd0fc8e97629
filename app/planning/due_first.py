"""This module fills a bench with those batches first that are due first, to begin a flow with."""

from bisect import bisect_left, insort
from collections.abc import Iterable, Mapping

from app.planning.kept_flow import KeptFlow, N
from app.planning.slot import FlowJob, Slot


def fill_due_first(flow: KeptFlow, jobs: Mapping[N, FlowJob]) -> None:
    """Adds jobs to a flow: each slot goes to those that are due first, and only what finds no hands so has others
    moved. As much fits as when they are added one by one, but work lies elsewhere."""
    flow.expect(jobs)
    waiting: list[tuple[int, int, N]] = []
    coming = sorted(((job.begin, place, batch) for place, (batch, job) in enumerate(jobs.items())), reverse=True)
    first = bisect_left(flow.starts, min((job.begin for job in jobs.values()), default=0))
    for slot in flow.slots[first:]:
        while coming and coming[-1][0] <= slot.start:
            _, place, batch = coming.pop()
            insort(waiting, (jobs[batch].end, place, batch))
        while waiting and waiting[0][0] <= slot.start:
            del waiting[0]
        if not coming and not waiting:
            break
        if _serve(slot, waiting, jobs):
            waiting = [one for one in waiting if jobs[one[2]].left]
    for batch in sorted(jobs, key=lambda batch: jobs[batch].end):
        flow.fill(batch)


def fill_rest(flow: KeptFlow) -> None:
    """Gives hands to all work that has no place yet, as far as there are any."""
    for batch in sorted((one for one, job in flow.jobs.items() if job.left), key=lambda one: flow.jobs[one].end):
        flow.fill(batch)


def _serve(slot: Slot, waiting: Iterable[tuple[int, int, N]], jobs: Mapping[N, FlowJob]) -> bool:
    """Gives the free hands of a slot to the waiting batches, one after another. Returns whether one is done."""
    any_done = False
    for _, _, batch in waiting:
        if not slot.free:
            break
        job = jobs[batch]
        if given := min(slot.free, slot.free_of[job.gas], job.left):
            slot.give(batch, job.gas, given)
            job.left -= given
        any_done = any_done or not job.left
    return any_done
