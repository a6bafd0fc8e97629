"""What an action raises when it cannot do what was asked. One place in the web turns each into a response."""

from app.planning.early import Early
from app.quoting.errors import Problem, Refused
from app.store.models import Customer, HistoryEntry, Order


class TooEarly(Refused):
    """It is too early to start a batch; the tap is saved only when somebody is sure. early: why, and from when it
    may start. chance: to be up at the end if started now; planned: if started as planned."""

    def __init__(self, early: Early, chance: float, planned: float) -> None:
        super().__init__(Problem("sure", "It is too early to start this batch."))
        self.early = early
        self.chance = chance
        self.planned = planned


class NotFound(Exception):
    """There is no such order, batch or design; the message is a sentence."""


class ChangedMeanwhile(Exception):
    """Somebody else saved this order since it was read; `since` is what they did, oldest first."""

    def __init__(self, order: Order, since: list[HistoryEntry]) -> None:
        super().__init__(f"Somebody else changed order {order.number}.")
        self.order = order
        self.since = since


class CustomerChangedMeanwhile(Exception):
    """The customer was changed since the page was made; `customer` is as it is now."""

    def __init__(self, customer: Customer) -> None:
        super().__init__(f"Somebody else changed {customer.name}.")
        self.customer = customer


class MergedMeanwhile(Exception):
    """The customer was merged with another one, who has its orders now."""

    def __init__(self, duplicate: Customer, merged_into: Customer) -> None:
        super().__init__(f"{duplicate.name} was merged with {merged_into.name}. Open {merged_into.name} instead.")
        self.duplicate = duplicate
        self.merged_into = merged_into
