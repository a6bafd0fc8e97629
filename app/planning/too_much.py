"""This module tells from a kept flow which of its batches are too much together, and what is short then."""

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from app.planning.arrays import np
from app.planning.flow import Flow, slots_of
from app.planning.kept_flow import KeptFlow, Name
from app.planning.schedule import Batch, Case, Shortage, shortage_in


@dataclass(frozen=True, slots=True)
class TooMuch:
    """The batches, by key, of the first group that does not fit which are too much for their hours, the smallest
    such set. short_seconds: the hand-seconds that do not fit in that group; all_seconds: those of all groups."""

    keys: frozenset[str]
    short_seconds: int
    all_seconds: int

    def shortage(self, empty: Case, batches: Iterable[Batch]) -> Shortage:
        """Returns the same as `find_shortage` of these batches, among which they were found."""
        chosen = [batch for batch in batches if batch.key in self.keys]
        case, every = empty.with_batches(chosen), np.ones(len(chosen), bool)
        slots = slots_of(case.bench, case.begins, case.load.ends)
        return shortage_in(
            case, np.flatnonzero(every), Flow(case.load, slots, self.short_seconds, every), self.all_seconds
        )


def find_too_much(flow: KeptFlow) -> TooMuch | None:
    """Returns which jobs of a flow, named by their keys, are too much together; None when all of them fit."""
    met, jobs = flow.too_much(), flow.jobs
    if not met:
        return None
    groups = _groups(flow, met)
    if len(groups) > 1:  # other batches may stand between them
        groups = [mine for group in _groups(flow, jobs) if (mine := [name for name in group if name in met])]
    short, all_short = (sum(jobs[name].left for name in names) for names in (groups[0], met))
    return TooMuch(frozenset(str(name) for name in groups[0]), short, all_short)


def _groups(flow: KeptFlow, names: Iterable[Name]) -> Sequence[Sequence[Name]]:
    """Returns the jobs in groups that share no slot."""
    spans = sorted((bisect_left(flow.starts, flow.jobs[name].begin), str(name), name) for name in names)
    groups, group_end = list[list[Name]](), -1
    for first, _, name in spans:
        if not groups or first >= group_end:
            groups.append([])
        groups[-1].append(name)
        group_end = max(group_end, first, bisect_left(flow.starts, flow.jobs[name].end))
    return groups
