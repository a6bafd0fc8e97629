"""This module tells from a kept flow which of its batches are too much together, and what is short then."""

from collections.abc import Iterable
from dataclasses import dataclass

from app.planning.cut import groups_sharing_no_slot
from app.planning.kept_flow import KeptFlow
from app.planning.schedule import Batch, Case, Shortage, shortage_of


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


def find_too_much(flow: KeptFlow) -> TooMuch | None:
    """Returns which jobs of a flow, named by their keys, are too much together; None when all of them fit."""
    met, jobs = flow.too_much(), flow.jobs
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
