"""What an order costs, what was paid, and whether the customer owes the shop the rest or the shop the customer."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from sqlalchemy.orm import Session

from app.actions.records.rebuild_request import tax_of
from app.actions.records.taps import handed_over_parts
from app.craft.money import Amount
from app.craft.price import Balance, Bill, BillItem, PaymentState, Refundable
from app.quoting.bill import read_discount, venue_item
from app.quoting.states import OrderState, PaymentDirection
from app.store.models import Order, Payment, Rental, RentalReturn
from app.store.queries.money import active_payments
from app.store.queries.rentals import active_returns


@dataclass(frozen=True, slots=True)
class Account:
    """sold: the bill as it was sold, without payments. price and rental: what is due and paid for the order itself,
    and as security deposits; apart, because those are paid back when the items return. is_quick_sale:
    paid when it was sold. payments_unknown: handed over before the shop recorded payments. fee_minor: what the shop
    keeps of a cancelled order. is_not_made: nothing of it was made and handed over, so nothing is due."""

    sold: Bill
    price: Bill
    rental: Bill
    is_quick_sale: bool = False
    payments_unknown: bool = False
    is_cancelled: bool = False
    fee_minor: int = 0
    is_not_made: bool = False

    def of(self, *, rental: bool) -> Bill:
        """Returns the bill of the rentals, or of the price."""
        return self.rental if rental else self.price

    @property
    def has_rental(self) -> bool:
        """Whether security deposits are due or were paid."""
        return bool(self.rental.refundables or self.rental.paid_minor)

    @property
    def paid_minor(self) -> int:
        """What was paid, less what was paid back."""
        return self.price.paid_minor + self.rental.paid_minor

    @property
    def due_minor(self) -> int:
        """What is still to pay; a negative amount is to be paid back."""
        return self.price.due_minor + self.rental.due_minor

    @property
    def owing(self) -> PaymentState:
        """How the money stands."""
        return self.balance.state

    @property
    def balance(self) -> Balance:
        """What is due, what was paid, and the fee of a cancelled order."""
        return Balance(self.due_minor, self.paid_minor, self.is_cancelled, self.fee_minor, self.is_not_made)

    @property
    def most_due_minor(self) -> int:
        """What the customer may still pay, 0 or more: the price and the security deposits, each if it is due."""
        return max(self.price.due_minor, 0) + max(self.rental.due_minor, 0)


def load_account(session: Session, order: Order) -> Account:
    """Returns the account of the order, with its payments and returns."""
    payments, returns = active_payments(session, order.id), active_returns(session, order.id)
    return account_of(order, payments, returns, is_not_made=_is_not_made(session, order))


def _is_not_made(session: Session, order: Order) -> bool:
    """Returns whether the order was not made, and no part of it was handed over either."""
    is_missed = order.state == OrderState.OPEN and order.not_made_at is not None
    return is_missed and not handed_over_parts(session, order)


def account_of(
    order: Order, payments: Sequence[Payment], returns: Sequence[RentalReturn] = (), *, is_not_made: bool = False
) -> Account:
    """Returns the account of the order. payments, returns: those that were not undone.

    On a cancelled order only its fee is due, which is no price and has no tax of its own; on one that was not made,
    nothing. A quick sale counts as paid when it was sold, and as paid back when it was undone.
    """
    sold = bill_of_order(order)
    price, rental = replace(sold, refundables=()), _of_rentals(order, returns)
    is_cancelled = order.state == OrderState.CANCELLED
    if is_cancelled or is_not_made:
        price, rental = _fee_of(order), Bill(())
    if order.is_quick_sale:
        price = replace(price, payments=(price.to_pay_minor,))
        return Account(sold, price, Bill(()), is_quick_sale=True, is_cancelled=is_cancelled)
    if order.cost_minor is None and order.state == OrderState.HANDED_OVER and not payments:
        return Account(sold, replace(price, payments=(price.to_pay_minor,)), Bill(()), payments_unknown=True)
    price = replace(price, payments=signed(one for one in payments if not one.rental))
    rental = replace(rental, payments=signed(one for one in payments if one.rental))
    fee = order.cancel_fee_minor
    return Account(sold, price, rental, is_cancelled=is_cancelled, fee_minor=fee, is_not_made=is_not_made)


def _fee_of(order: Order) -> Bill:
    """Returns the bill of an order that was cancelled or not made: the fee that the shop keeps, if any."""
    fee = order.cancel_fee_minor
    return Bill((BillItem("Cancellation fee", 1, fee, taxed=False),) if fee else ())


def _of_rentals(order: Order, returns: Sequence[RentalReturn]) -> Bill:
    """Returns the bill of the rentals: the security deposits on what is out or goes out, and what was kept from
    those on the rest."""
    saved = sum(one.kept_minor for one in returns)
    items = (BillItem("Kept from security deposits", 1, saved, taxed=False),) if saved else ()
    return Bill(
        items,
        refundables=tuple(_rental_deposit(rental, returns) for rental in order.rentals if _has_deposit(rental)),
    )


def _has_deposit(rental: Rental) -> bool:
    """Returns whether the rental has a security deposit."""
    return bool(rental.quantity and rental.deposit_minor)


def _rental_deposit(rental: Rental, returns: Sequence[RentalReturn]) -> Refundable:
    """Returns the security deposit on a rental, with how many pieces were returned or lost."""
    returned = sum(one.back + one.lost for one in returns if one.rental_id == rental.id)
    return Refundable(rental.name, rental.quantity, rental.deposit_minor, min(returned, rental.quantity))


def bill_of_order(order: Order, payments: Iterable[Payment] = ()) -> Bill:
    """Returns the bill as the order was sold, with the payments. payments: those that were not undone."""
    items = (
        *(BillItem(line.title, line.quantity, line.unit_minor) for line in order.lines),
        *(BillItem(extra.title, extra.quantity, extra.unit_minor) for extra in order.extras),
        *venue_item(order.venue_minor),
    )
    refundables = tuple(
        Refundable(rental.name, rental.quantity, rental.deposit_minor)
        for rental in order.rentals
        if rental.deposit_minor and rental.quantity
    )
    discount, deposit = read_discount(order.discount), Amount(order.deposit_asked_minor)
    return Bill(items, discount, tax_of(order).tax, deposit, refundables, signed(payments))


def signed(payments: Iterable[Payment]) -> tuple[int, ...]:
    """Returns the payments in minor units; what was paid back is negative."""
    return tuple(
        one.amount_minor if one.direction == PaymentDirection.IN else -one.amount_minor for one in payments
    )
