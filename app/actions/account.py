"""What stands between the shop and a customer: what an order asks, what was paid, which way the rest goes."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from app.actions.bills import bill_of_order, signed
from app.craft.price import Bill
from app.store.models import Order, Payment


@dataclass(frozen=True, slots=True)
class Account:
    """sold: the bill as it was sold. price and hire: what is asked and paid for the one, and as a deposit on hired
    goods, apart because that goes back with them; whole: both. at_once: paid in the moment it was sold."""

    sold: Bill
    whole: Bill
    price: Bill
    hire: Bill
    at_once: bool = False

    def of(self, *, hire: bool) -> Bill:
        return self.hire if hire else self.price

    @property
    def has_hire(self) -> bool:
        return bool(self.hire.refundables or self.hire.paid_minor)


def account_of(order: Order, payments: Sequence[Payment]) -> Account:
    """payments: those that stand. A cancelled order asks nothing; a sale at once was paid as it was sold, and paid
    back as it was taken back."""
    sold = bill_of_order(order)
    asked = replace(sold, items=(), refundables=()) if order.state == "cancelled" else sold
    if order.sold_at_once:
        paid = replace(asked, payments=(asked.to_pay_minor,))
        return Account(sold, paid, replace(paid, refundables=()), replace(asked, items=()), at_once=True)
    price = replace(asked, refundables=(), payments=signed(one for one in payments if not one.hire))
    hire = replace(asked, items=(), payments=signed(one for one in payments if one.hire))
    return Account(sold, replace(asked, payments=signed(payments)), price, hire)
