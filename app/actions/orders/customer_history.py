"""What a customer's page shows about the customer, and the history of its changes."""

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import or_, select
from sqlalchemy.orm import Session

from app.actions.context import Context
from app.store.models import Customer, CustomerHistory


@dataclass(frozen=True, slots=True)
class CustomerDetails:
    """The name, phones and latex allergy of a customer, as they are shown."""

    name: str
    phones: tuple[str, ...]
    latex_allergy: bool

    @classmethod
    def of(cls, customer: Customer) -> "CustomerDetails":
        return cls(customer.name, tuple(phone.shown for phone in customer.phones), customer.latex_allergy)

    def changes(self, after: "CustomerDetails") -> list[tuple[str, str, str]]:
        pairs = [
            ("name", self.name, after.name),
            ("phone numbers", " · ".join(self.phones), " · ".join(after.phones)),
            ("latex allergy", _yes_or_no(self.latex_allergy), _yes_or_no(after.latex_allergy)),
        ]
        return [change for change in pairs if change[1] != change[2]]


def _yes_or_no(value: bool) -> str:
    return "yes" if value else "no"


def write_customer_history(
    context: Context, customer: Customer, act: str, changes: Sequence[tuple[str, str, str]]
) -> None:
    """Adds an entry to the customer's history; does nothing if nothing changed."""
    if changes:
        rows = [list(change) for change in changes]
        context.session.add(
            CustomerHistory(customer_id=customer.id, at=context.now, who=context.who, act=act, changes=rows)
        )


def history_of_customer(session: Session, customer: Customer) -> list[CustomerHistory]:
    """Returns the customer's history, and that of the duplicates merged into them, the oldest first."""
    duplicates = select(Customer.id).where(Customer.merged_into_id == customer.id)
    theirs = or_(CustomerHistory.customer_id == customer.id, CustomerHistory.customer_id.in_(duplicates))
    return list(session.scalars(select(CustomerHistory).where(theirs).order_by(CustomerHistory.id)))
