"""This module says which batches of a kept flow share slots, and whether hands or points limit them."""

from bisect import bisect_left
from collections.abc import Collection, Iterable
from itertools import accumulate

from app.planning.kept_flow import KeptFlow, N
from app.planning.slot import FlowJob


def groups_sharing_no_slot(flow: KeptFlow, batches: Iterable[N]) -> list[list[N]]:
    """Returns the batches in groups that share no slot, the same ones in whatever order they are given, although a
    batch that has no slot at all could go to either group beside it."""
    groups: list[list[N]] = []
    group_end = -1
    first = {batch: bisect_left(flow.starts, flow.jobs[batch].begin) for batch in batches}
    for batch in sorted(first, key=lambda batch: (first[batch], str(batch))):
        if not groups or first[batch] >= group_end:
            groups.append([])
        groups[-1].append(batch)
        group_end = max(group_end, first[batch], bisect_left(flow.starts, flow.jobs[batch].end))
    return groups


def points_are_bottleneck(flow: KeptFlow, jobs: Collection[FlowJob]) -> bool:
    """Returns whether filling points rather than hands limit these jobs, for most of their work."""
    gases = {job.gas for job in jobs}
    in_use = {gas: _in_use(flow, [job for job in jobs if job.gas == gas]) for gas in gases}
    by_points = by_all = 0
    for place, slot in enumerate(flow.slots):
        usable = slot.usable([gas for gas in gases if in_use[gas][place]])
        seconds = usable * (slot.end - slot.start)
        by_all += seconds
        by_points += seconds if usable < slot.hands else 0
    return 2 * by_points > by_all if by_all else bool(flow.slots)


def _in_use(flow: KeptFlow, jobs: Iterable[FlowJob]) -> list[int]:
    """Returns by slot how many of these jobs may be worked on in it."""
    change = [0] * (len(flow.slots) + 1)
    for job in jobs:
        change[bisect_left(flow.starts, job.begin)] += 1
        change[bisect_left(flow.starts, max(job.begin, job.end))] -= 1
    return [*accumulate(change)]
