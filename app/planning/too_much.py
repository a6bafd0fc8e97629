"""This module tells from a kept flow which of its batches are too much together, and what is short then."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from app.planning.cut import groups_sharing_no_slot, points_are_bottleneck
from app.planning.due_first import fill_due_first
from app.planning.flow import HANDS_ONLY
from app.planning.kept_flow import KeptFlow
from app.planning.moments import moment_of
from app.planning.schedule import Batch, Case, Shortage, fits_due_first
from app.planning.slot import FlowJob, Name


@dataclass(frozen=True, slots=True)
class TooMuch:
    """The batches, by key, of the first group that does not fit which are too much for their hours, the smallest
    such set. short_seconds: the hand-seconds that do not fit in that group; all_seconds: those of all groups."""

    keys: frozenset[str]
    short_seconds: int
    all_seconds: int

    def shortage(self, empty: Case, batches: Iterable[Batch]) -> Shortage:
        """Returns the same as `find_shortage` of these batches, among which they were found."""
        chosen = empty.with_batches([batch for batch in batches if batch.key in self.keys])
        return shortage_of(chosen, self.short_seconds, self.all_seconds)


def find_too_much(flow: KeptFlow, keys: Iterable[str] | None = None) -> TooMuch | None:
    """Returns which jobs of a flow, named by their keys, are too much together; None when all of them fit. keys:
    those that count, if no other job shares a slot with them; all if not given."""
    jobs: dict[Name, FlowJob] = {key: flow.jobs[key] for key in keys} if keys else flow.jobs
    met = flow.too_much(jobs)
    if not met:
        return None
    groups = groups_sharing_no_slot(flow, met)
    if len(groups) > 1:  # other batches may stand between them
        groups = [
            mine
            for group in groups_sharing_no_slot(flow, jobs)
            if (mine := [name for name in group if name in met])
        ]
    short, all_short = (sum(jobs[name].left for name in names) for names in (groups[0], met))
    return TooMuch(frozenset(str(name) for name in groups[0]), short, all_short)


def find_shortage(case: Case) -> Shortage | None:
    """Returns None when all batches can be ready; else the shortage of the first group that does not fit. Its
    all_seconds are those of the whole bench."""
    if fits_due_first(case):
        return None
    flow, jobs = KeptFlow.empty(case.bench), case.jobs()
    work = {key: job.left for key, job in jobs.items()}
    fill_due_first(flow, jobs)
    return shortage_in(flow, work, case.gases)


def shortage_in(flow: KeptFlow, work: Mapping[str, int], gases: Sequence[str]) -> Shortage | None:
    """Returns the same of some batches of a flow, of which no other batch shares a slot with them. work: the
    hand-seconds of each of them, by its key."""
    found = find_too_much(flow, work)
    if not found:
        return None
    chosen = {key: work[key] for key in sorted(found.keys)}
    return _shortage(flow, chosen, gases, found.short_seconds, found.all_seconds)


def shortage_of(case: Case, short_seconds: int, all_seconds: int) -> Shortage:
    """Returns the shortage of batches that are known to be too much together, by so many hand-seconds; all_seconds
    are too much for the whole bench."""
    flow, jobs = KeptFlow.empty(case.bench), case.jobs()
    flow.expect(jobs)
    return _shortage(flow, {key: job.left for key, job in jobs.items()}, case.gases, short_seconds, all_seconds)


def _shortage(
    flow: KeptFlow, work: Mapping[str, int], gases: Sequence[str], short: int, all_short: int
) -> Shortage:
    """Returns the shortage of these jobs of a flow, given their hand-seconds by key, in order of the keys."""
    jobs, by_gas = [flow.jobs[key] for key in work], dict[int, int]()
    for seconds, job in sorted(zip(work.values(), jobs, strict=True), key=lambda one: one[1].gas):
        by_gas[job.gas] = by_gas.get(job.gas, 0) + seconds
    busiest = max(by_gas, key=by_gas.__getitem__)
    gas = gases[busiest] if busiest != HANDS_ONLY and points_are_bottleneck(flow, jobs) else None
    start, end = min(job.begin for job in jobs), max(job.end for job in jobs)
    return Shortage(short, all_short, tuple(work), moment_of(start), moment_of(end), gas)
