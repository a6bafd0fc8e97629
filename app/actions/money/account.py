"""What stands between the shop and a customer: what an order asks, what was paid, which way the rest goes."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from sqlalchemy.orm import Session

from app.actions.money.bills import bill_of_order, signed
from app.craft.price import Bill, Item, Owing, Refundable, owing_of
from app.store.models import Hire, HireReturn, Order, Payment
from app.store.queries.money import standing_payments
from app.store.queries.rentals import standing_returns


@dataclass(frozen=True, slots=True)
class Account:
    """sold: the bill as it was sold, without payments. price and hire: what is asked and paid for the one, and as
    deposits on hired goods, apart because they go back with them. at_once: paid in the moment it was sold. unnoted:
    handed over before payments were noted, so nobody knows."""

    sold: Bill
    price: Bill
    hire: Bill
    at_once: bool = False
    unnoted: bool = False

    def of(self, *, hire: bool) -> Bill:
        return self.hire if hire else self.price

    @property
    def has_hire(self) -> bool:
        return bool(self.hire.refundables or self.hire.paid_minor)

    @property
    def paid_minor(self) -> int:
        return self.price.paid_minor + self.hire.paid_minor

    @property
    def due_minor(self) -> int:
        """What is still to pay; negative is to be paid back."""
        return self.price.due_minor + self.hire.due_minor

    @property
    def owing(self) -> Owing:
        return owing_of(self.due_minor)


def load_account(session: Session, order: Order) -> Account:
    return account_of(order, standing_payments(session, order.id), standing_returns(session, order.id))


def account_of(order: Order, payments: Sequence[Payment], returns: Sequence[HireReturn] = ()) -> Account:
    """payments, returns: those that stand. A cancelled order asks nothing; a sale at once was paid as it was sold,
    and paid back as it was taken back."""
    sold = bill_of_order(order)
    price, hire = replace(sold, refundables=()), _of_hires(order, returns)
    if order.state == "cancelled":
        price, hire = replace(price, items=()), Bill(())
    if order.sold_at_once:
        return Account(sold, replace(price, payments=(price.to_pay_minor,)), Bill(()), at_once=True)
    if order.cost_minor is None and order.state == "handed over" and not payments:
        return Account(sold, replace(price, payments=(price.to_pay_minor,)), Bill(()), unnoted=True)
    price = replace(price, payments=signed(one for one in payments if not one.hire))
    return Account(sold, price, replace(hire, payments=signed(one for one in payments if one.hire)))


def _of_hires(order: Order, returns: Sequence[HireReturn]) -> Bill:
    """Deposits on what is out or goes out, and what is kept of those on the rest."""
    kept = sum(one.kept_minor for one in returns)
    items = (Item("Kept of deposits", 1, kept, taxed=False),) if kept else ()
    return Bill(items, refundables=tuple(_held(hire, returns) for hire in order.hires if _has_deposit(hire)))


def _has_deposit(hire: Hire) -> bool:
    return bool(hire.quantity and hire.deposit_minor)


def _held(hire: Hire, returns: Sequence[HireReturn]) -> Refundable:
    returned = sum(one.back + one.lost for one in returns if one.hire_id == hire.id)
    return Refundable(hire.name, hire.quantity, hire.deposit_minor, min(returned, hire.quantity))
