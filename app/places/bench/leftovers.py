"""Bench: orders of earlier days that nobody finished, and what became of them."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from app.quoting.states import LateReason
from app.store.queries.bench import BoardRow, batches_of_earlier_days
from app.store.queries.overdue import late_reasons
from app.web.days import ShopDay
from app.web.requests import request_context


@dataclass(frozen=True, slots=True)
class Leftover:
    """An order that is over, with its batches that should have been finished before today. late_reason: why it was
    not made; None until it is said."""

    number: int
    batches: tuple[BoardRow, ...]
    late_reason: LateReason | None = None

    @property
    def first(self) -> BoardRow:
        return self.batches[0]

    @property
    def outcome(self) -> str:
        """What was said today: “made” or “not-made”; empty as long as nothing was."""
        if self.first.not_made_at:
            return "not-made"
        return "made" if all(row.filled_at for row in self.batches) else ""


def leftovers_of(day: ShopDay) -> list[Leftover]:
    """Returns the leftovers; those of which nobody has said what became of them come first. Only today's page has
    any."""
    here = request_context()
    rows = batches_of_earlier_days(here.session, day.start, here.now) if day.is_today else []
    found = _by_order(rows)
    not_made = [one.number for one in found if one.outcome == "not-made"]
    reasons = late_reasons(here.session, not_made) if not_made else {}
    said = [replace(one, late_reason=reasons.get(one.number)) for one in found]
    return sorted(said, key=lambda one: bool(one.outcome))


def _by_order(rows: Iterable[BoardRow]) -> list[Leftover]:
    of: dict[int, list[BoardRow]] = {}
    for row in rows:
        of.setdefault(row.order_number, []).append(row)
    return [Leftover(number, tuple(batches)) for number, batches in of.items()]
