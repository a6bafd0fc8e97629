"""What an action says when it cannot do what was asked. One place in the web turns each into an answer."""

from app.quoting.errors import Problem, Refused
from app.store.models import Customer, HistoryEntry, Order


class TooEarly(Refused):
    """Filled now they would sink too soon: kept only when somebody is sure. Chances to be up at the end:
    begun now, and as planned."""

    def __init__(self, chance: float, planned: float) -> None:
        super().__init__(Problem("sure", "It is too early to begin this batch."))
        self.chance = chance
        self.planned = planned


class NotFound(Exception):
    """No such order, batch or design; the message is a sentence."""


class ChangedMeanwhile(Exception):
    """Somebody else saved this order since it was read; `since` is what they did, oldest first."""

    def __init__(self, order: Order, since: list[HistoryEntry]) -> None:
        super().__init__(f"order {order.number} was changed meanwhile")
        self.order = order
        self.since = since


class CustomerChangedMeanwhile(Exception):
    """The customer is no longer what the page showed that was saved: see them as they are now."""

    def __init__(self, customer: Customer) -> None:
        super().__init__(f"customer {customer.id} was changed meanwhile")
        self.customer = customer


class MergedMeanwhile(Exception):
    """The customer was a double, and their orders stand with another one now."""

    def __init__(self, double: Customer, saved: Customer) -> None:
        super().__init__(f"{double.name} was merged with {saved.name} meanwhile: look at that one.")
        self.double = double
        self.saved = saved
