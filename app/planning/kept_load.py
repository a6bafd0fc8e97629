"""This module keeps the flow of many orders' work, and says of some of the orders whether they are too much.

From one question to the next only the orders that differ are added or removed, so that hardly any work moves.
"""

from bisect import bisect_left
from collections.abc import Iterable, Mapping, Sequence, Set
from dataclasses import dataclass, field

from app.planning.arrays import np
from app.planning.flow import Flow, slots_of
from app.planning.kept_flow import FlowJob, KeptFlow, Name
from app.planning.schedule import Batch, Case, Shortage, shortage_in


@dataclass(frozen=True, slots=True)
class TooMuch:
    """The batches, by key, of the first group that does not fit which are too much for their hours, the smallest
    such set. short_seconds: the hand-seconds that do not fit in that group; all_seconds: those of all groups."""

    keys: frozenset[str]
    short_seconds: int
    all_seconds: int


@dataclass(slots=True)
class KeptLoad:
    """The work of orders on a bench. batches: all that can be asked about, by order. present: the orders whose
    batches are in the flow."""

    empty: Case
    batches: Mapping[str, Sequence[Batch]]
    flow: KeptFlow
    jobs: Mapping[str, tuple[int, int, int, int]]
    present: set[str] = field(default_factory=set)

    @classmethod
    def of(cls, empty: Case, batches: Mapping[str, Sequence[Batch]]) -> "KeptLoad":
        """Returns the load of orders with these batches, none of which is in the flow yet."""
        case = empty.with_batches([batch for some in batches.values() for batch in some])
        columns = (case.load.gas, case.begins, case.load.ends, case.load.work)
        rows = zip(*(column.tolist() for column in columns), strict=True)
        jobs = {batch.key: row for batch, row in zip(case.batches, rows, strict=True)}
        moments = {moment for _, begin, end, _ in jobs.values() for moment in (begin, end)}
        return cls(empty, batches, KeptFlow.empty(case.bench, moments), jobs)

    def too_much(self, orders: Set[str]) -> TooMuch | None:
        """Returns which batches of these orders are too much together; None when all of them fit."""
        self._have(orders)
        met = self.flow.too_much()
        if not met:
            return None
        jobs = self.flow.jobs
        group = self._first_group(met)
        short = sum(jobs[key].left for key in group)
        keys = frozenset(str(key) for key in group)
        return TooMuch(keys, short, sum(jobs[key].left for key in met))

    def shortage(self, orders: Set[str]) -> Shortage | None:
        """Returns the same as `find_shortage` of these orders' batches."""
        found = self.too_much(orders)
        if found is None:
            return None
        chosen = [batch for key in orders for batch in self.batches[key] if batch.key in found.keys]
        case, every = self.empty.with_batches(chosen), np.arange(len(chosen))
        slots = slots_of(case.bench, case.begins, case.load.ends)
        flow = Flow(case.load, slots, found.short_seconds, np.ones(len(every), bool))
        return shortage_in(case, every, flow, found.all_seconds)

    def _have(self, orders: Set[str]) -> None:
        """Lets the flow have the batches of these orders and no others."""
        for key in self.present - orders:
            for batch in self.batches[key]:
                self.flow.remove(batch.key)
        more = [batch.key for key in orders - self.present for batch in self.batches[key]]
        for key in sorted(more, key=lambda key: (self.jobs[key][2], key)):
            self.flow.add(key, FlowJob(*self.jobs[key]))
        self.present = {*orders}

    def _first_group(self, met: set[Name]) -> list[Name]:
        """Returns those of the batches that were met which belong to the first group that shares time."""
        groups = self._groups(met)
        if len(groups) > 1:  # other batches may stand between them
            groups = [
                mine for group in self._groups(self.flow.jobs) if (mine := [key for key in group if key in met])
            ]
        return groups[0]

    def _groups(self, names: Iterable[Name]) -> list[list[Name]]:
        """Returns the batches in groups that share no slot."""
        starts, jobs = self.flow.starts, self.flow.jobs
        spans = sorted((bisect_left(starts, jobs[name].begin), str(name), name) for name in names)
        groups, group_end = list[list[Name]](), -1
        for first, _, name in spans:
            if not groups or first >= group_end:
                groups.append([])
            groups[-1].append(name)
            group_end = max(group_end, first, bisect_left(starts, jobs[name].end))
        return groups
