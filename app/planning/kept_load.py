"""This module keeps the flow of many orders' work, and says of some of the orders whether they are too much.

From one question to the next only the orders that differ are added or removed, so that hardly any work moves.
"""

from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass, field

from app.planning.kept_flow import KeptFlow
from app.planning.schedule import Batch, Case, Shortage
from app.planning.slot import FlowJob
from app.planning.too_much import TooMuch, find_too_much


@dataclass(slots=True)
class KeptLoad:
    """The work of orders on a bench. batches: all that can be asked about, by order. present: the orders whose
    batches are in the flow."""

    empty: Case
    batches: Mapping[str, Sequence[Batch]]
    flow: KeptFlow
    jobs: Mapping[str, FlowJob]
    present: set[str] = field(default_factory=set)

    @classmethod
    def of(cls, empty: Case, batches: Mapping[str, Sequence[Batch]]) -> "KeptLoad":
        """Returns the load of orders with these batches, none of which is in the flow yet."""
        case = empty.with_batches([batch for some in batches.values() for batch in some])
        jobs = case.jobs()
        moments = {moment for job in jobs.values() for moment in (job.begin, job.end)}
        return cls(empty, batches, KeptFlow.empty(case.bench, moments), jobs)

    def too_much(self, orders: Set[str]) -> TooMuch | None:
        """Returns which batches of these orders are too much together; None when all of them fit."""
        self._have(orders)
        return find_too_much(self.flow)

    def shortage(self, orders: Set[str]) -> Shortage | None:
        """Returns the same as `find_shortage` of these orders' batches."""
        found = self.too_much(orders)
        batches = (batch for key in orders for batch in self.batches[key])
        return found.shortage(self.empty, batches) if found else None

    def _have(self, orders: Set[str]) -> None:
        """Lets the flow have the batches of these orders and no others."""
        for key in self.present - orders:
            for batch in self.batches[key]:
                self.flow.remove(batch.key)
        more = [batch.key for key in orders - self.present for batch in self.batches[key]]
        for key in sorted(more, key=lambda key: (self.jobs[key].end, key)):
            self.flow.add(key, self.jobs[key].copy())
        self.present = {*orders}
