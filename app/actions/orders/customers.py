"""Customers: found again by name and phone, corrected, and duplicates merged."""

import re
from collections.abc import Sequence

from sqlalchemy import bindparam, func, or_, select, update
from sqlalchemy.orm import Session

from app.actions.context import Context
from app.actions.errors import CustomerChangedMeanwhile, MergedMeanwhile, NotFound
from app.actions.orders.customer_history import CustomerDetails, write_customer_history
from app.actions.records.history import write_history
from app.quoting.errors import Problem, Refused
from app.quoting.request import OVER_THE_COUNTER
from app.store.models import Customer, CustomerHistory, CustomerPhone, Order
from app.store.search_keys import MIN_PHONE_DIGITS, digits_of, fold_text, phone_key

_NAMED = select(Customer).where(Customer.name_folded == bindparam("folded")).order_by(Customer.id)
MAX_NAME_LENGTH = 80
MAX_PHONE_LENGTH = 40
MOST_PHONES = 8
TOO_MANY_PHONES = f"A customer can have at most {MOST_PHONES} phone numbers. Clear one first."
MERGED = "merged with a duplicate"
"""The act of the customer that is kept, in its history."""


def name_problem(name: str) -> str:
    """Returns what is wrong with a name; empty if nothing is."""
    if not name:
        return "Enter the customer's name."
    if not any(letter.isalpha() for letter in name):
        return "Enter a name with at least one letter."
    return ""


def phone_problem(phone: str) -> str:
    """Returns what is wrong with a phone; empty if nothing is."""
    if not re.fullmatch(r"\+?[0-9\s().\-/]*", phone):
        return "Enter a phone number: digits, spaces and + ( ) - / only."
    if len(digits_of(phone)) < MIN_PHONE_DIGITS:
        return f"Enter a phone number with at least {MIN_PHONE_DIGITS} digits."
    return ""


def load_customer(session: Session, customer_id: int) -> Customer:
    """Returns the customer, or the one that they were merged into. Raises NotFound."""
    customer = session.get(Customer, customer_id)
    if customer is None:
        raise NotFound(f"Customer {customer_id} does not exist.")
    return _merge_target(session, customer)


def customer_of(session: Session, name: str, phone: str, chosen_id: int | None) -> Customer | None:
    """Returns the customer of an order: the chosen one if the name is still theirs, else the one who has this name
    and phone, else a new one.

    Returns None for a sale without a name, and for one without a phone if nobody was chosen. Two names with one
    phone are two customers. A new phone of the chosen customer is added to theirs.
    """
    folded = fold_text(name)
    chosen = session.get(Customer, chosen_id) if chosen_id else None
    saved = _merge_target(session, chosen) if chosen else None
    if saved and folded in _names(session, saved):
        _add_phone(saved, phone)
        return saved
    if not digits_of(phone) or folded == fold_text(OVER_THE_COUNTER):
        return None
    return _find_known(session, folded, phone) or _new(session, name, phone)


def assign_customer(context: Context, order: Order, chosen_id: int | None, was: tuple[str, str] = ("", "")) -> None:
    """Finds or creates the customer, sets them on the order, and updates their last_order_at. was: the name and
    phone that the order had before the change.

    An order in which only the phone changed stays with its customer. If it is the customer's only order, a
    corrected name or phone is corrected for the customer too, so that no typing error stays behind as a customer.
    """
    before = context.session.get(Customer, order.customer_id) if order.customer_id else None
    stays = before is not None and chosen_id in (None, before.id)
    if (
        before
        and stays
        and (order.customer == was[0] or _corrects_typing_error(context.session, order, before, was[0]))
    ):
        _correct_customer(context, order, before, was)
        return
    customer = customer_of(context.session, order.customer, order.phone, chosen_id)
    order.customer_id = customer.id if customer else None
    if customer:
        customer.last_order_at = max(customer.last_order_at or order.taken_at, order.taken_at)
    if before and before.id != order.customer_id:
        context.session.flush()  # the queries below must see that the order has another customer
        _tidy_former_customer(context.session, before, customer)


def _corrects_typing_error(session: Session, order: Order, customer: Customer, name_was: str) -> bool:
    """Returns whether the new name corrects the customer's own: they have no other order, and nobody else has this
    name and phone."""
    folded = fold_text(order.customer)
    return (
        customer.name_folded == fold_text(name_was)
        and folded != fold_text(OVER_THE_COUNTER)
        and bool(digits_of(order.phone))
        and is_made_by(session, customer, order.id)
        and _find_known(session, folded, order.phone) in (None, customer)
    )


def is_made_by(session: Session, customer: Customer, order_id: int) -> bool:
    """Returns whether the customer exists only because of that order: they have no other order and no duplicate."""
    others = select(Order.id).where(Order.customer_id == customer.id, Order.id != order_id)
    duplicates = select(Customer.id).where(Customer.merged_into_id == customer.id)
    return not any(session.scalars(found.limit(1)).first() for found in (others, duplicates))


def _correct_customer(context: Context, order: Order, customer: Customer, was: tuple[str, str]) -> None:
    """Corrects the name or phone of the customer."""
    before = CustomerDetails.of(customer)
    alone = is_made_by(context.session, customer, order.id)
    if alone and order.customer != was[0]:
        customer.name, customer.name_folded = order.customer, fold_text(order.customer)
    if alone and digits_of(order.phone) and phone_key(order.phone) != phone_key(was[1]):
        customer.phones = [own for own in customer.phones if phone_key(own.shown) != phone_key(was[1])]
    _add_phone(customer, order.phone)
    customer.phone_digits = _searchable_phones(customer)
    write_customer_history(
        context, customer, f"corrected with order {order.number}", before.changes(CustomerDetails.of(customer))
    )


def _tidy_former_customer(session: Session, before: Customer, customer: Customer | None) -> None:
    """Deletes the former customer if only a typing error had created them; else sets the latest of their orders."""
    theirs = {phone_key(own.shown) for own in customer.phones} if customer else set[str]()
    done = session.scalars(select(CustomerHistory.id).where(CustomerHistory.customer_id == before.id).limit(1))
    is_typing_error = all(phone_key(own.shown) in theirs for own in before.phones)
    if customer and is_typing_error and not done.first() and is_made_by(session, before, 0):
        session.delete(before)
    else:
        _refresh_latest(session, before.id)


def _refresh_latest(session: Session, customer_id: int) -> None:
    latest = session.scalar(select(func.max(Order.taken_at)).where(Order.customer_id == customer_id))
    session.execute(update(Customer).where(Customer.id == customer_id).values(last_order_at=latest))


def _merge_target(session: Session, customer: Customer) -> Customer:
    if customer.merged_into_id is None:
        return customer
    return session.get_one(Customer, customer.merged_into_id)


def _names(session: Session, customer: Customer) -> set[str]:
    """Returns the names of the customer, and of the duplicates merged into them."""
    of_duplicates = select(Customer.name_folded).where(Customer.merged_into_id == customer.id)
    return {customer.name_folded, *session.scalars(of_duplicates)}


def _find_known(session: Session, folded: str, phone: str) -> Customer | None:
    named = session.scalars(_NAMED, {"folded": folded})
    return next((saved for one in named if _has_phone(saved := _merge_target(session, one), phone)), None)


def _new(session: Session, name: str, phone: str) -> Customer:
    customer = Customer(name=name, name_folded=fold_text(name), phone_digits="", phones=[])
    _add_phone(customer, phone)
    session.add(customer)
    session.flush()  # the order refers to the customer's id
    return customer


def _has_phone(customer: Customer, phone: str) -> bool:
    return phone_key(phone) in {phone_key(own.shown) for own in customer.phones}


def _add_phone(customer: Customer, phone: str) -> None:
    if digits_of(phone) and not _has_phone(customer, phone):
        customer.phones.append(CustomerPhone(shown=phone))
        customer.phone_digits = _searchable_phones(customer)


def _searchable_phones(customer: Customer) -> str:
    return " ".join(digits_of(phone.shown) for phone in customer.phones)


def change_customer(
    context: Context,
    customer_id: int,
    shown: CustomerDetails,
    wanted: CustomerDetails,
) -> Customer:
    """Saves the customer's name, all of their phones, and their allergy; an empty phone is removed. shown: what the
    page showed when it was opened.

    Raises NotFound, Refused, MergedMeanwhile, and CustomerChangedMeanwhile if the customer is no longer as shown.
    """
    customer = context.session.get(Customer, customer_id, with_for_update=True)
    if customer is None or customer.merged_into_id is not None:
        saved = load_customer(context.session, customer_id)
        raise MergedMeanwhile(customer or saved, saved)
    before = CustomerDetails.of(customer)
    if before != shown or len(wanted.phones) < len(shown.phones):
        raise CustomerChangedMeanwhile(customer)
    name, phones = " ".join(wanted.name.split()), [" ".join(phone.split()) for phone in wanted.phones]
    if problems := [*_name_problems(name), *_phone_problems(phones)]:
        raise Refused(*problems)
    customer.name, customer.name_folded, customer.latex_allergy = name, fold_text(name), wanted.latex_allergy
    alike = {phone_key(phone): phone for phone in reversed(phones) if phone}
    own = {phone.shown: phone for phone in customer.phones}
    customer.phones = [own.get(phone) or CustomerPhone(shown=phone) for phone in reversed(alike.values())]
    customer.phone_digits = _searchable_phones(customer)
    write_customer_history(context, customer, "changed", before.changes(CustomerDetails.of(customer)))
    context.session.flush()
    return customer


def _name_problems(name: str) -> list[Problem]:
    wrong = name_problem(name)
    if not wrong and len(name) > MAX_NAME_LENGTH:
        wrong = f"Enter a name of at most {MAX_NAME_LENGTH} characters. This one has {len(name)}."
    return [Problem("name", wrong)] if wrong else []


def _phone_problems(phones: Sequence[str]) -> list[Problem]:
    problems = []
    for place, phone in enumerate(phones):
        wrong = phone_problem(phone) if phone else ""
        if len(phone) > MAX_PHONE_LENGTH:
            wrong = f"Enter a phone number of at most {MAX_PHONE_LENGTH} characters. This one has {len(phone)}."
        elif place >= MOST_PHONES and phone:
            wrong = TOO_MANY_PHONES
        if wrong:
            problems.append(Problem(f"phones.{place}", wrong))
    return problems


def merge_customers(context: Context, keep_id: int, duplicate_id: int) -> Customer:
    """Gives the duplicate's phones and orders to the other customer, and returns that customer. A second call
    changes nothing. Raises NotFound, Refused.
    """
    if keep_id == duplicate_id:
        raise Refused(Problem("duplicate", "This is the same customer. Choose another one to merge."))
    keep, duplicate = _lock_both(context.session, keep_id, duplicate_id)
    if duplicate.merged_into_id == keep.id:
        return keep
    for one in (keep, duplicate):
        if one.merged_into_id is not None:
            sentence = f"{one.name} is already merged with another customer. Open that one."
            raise Refused(Problem("duplicate", sentence))
    before = CustomerDetails.of(keep)
    for phone in duplicate.phones:
        _add_phone(keep, phone.shown)
    keep.latex_allergy = keep.latex_allergy or duplicate.latex_allergy
    _move_orders(context, keep, duplicate)
    theirs = or_(Customer.id == duplicate.id, Customer.merged_into_id == duplicate.id)
    context.session.execute(update(Customer).where(theirs).values(merged_into_id=keep.id))
    keep.last_order_at = max(filter(None, (keep.last_order_at, duplicate.last_order_at)), default=None)
    merged = ("merged", duplicate.name, keep.name)
    write_customer_history(context, keep, MERGED, [merged, *before.changes(CustomerDetails.of(keep))])
    context.session.flush()
    return keep


def _move_orders(context: Context, keep: Customer, duplicate: Customer) -> None:
    moved = context.session.scalars(select(Order).where(Order.customer_id == duplicate.id).order_by(Order.id)).all()
    for order in moved:
        order.customer_id, order.version = keep.id, order.version + 1
        write_history(context, order, f"moved from customer {duplicate.name} to customer {keep.name}", [])


def _lock_both(session: Session, *ids: int) -> list[Customer]:
    """Returns both customers in the order of the ids; nobody else may merge them until the session ends."""
    found = select(Customer).where(Customer.id.in_(ids)).order_by(Customer.id).with_for_update()
    rows = {row.id: row for row in session.scalars(found)}
    for one in ids:
        if one not in rows:
            raise NotFound(f"Customer {one} does not exist.")
    return [rows[one] for one in ids]


def share_allergy(context: Context, order: Order, chosen_id: int | None) -> None:
    """Sets a latex allergy of the order on its customer, or one of the customer on the order.

    The order gets it only if its customer was found by name and phone when it was saved, because the form could not
    show it. If the customer was chosen, the form did show it, and an order without it is meant so.
    """
    customer = context.session.get(Customer, order.customer_id) if order.customer_id else None
    if customer is None:
        return
    if customer.latex_allergy and customer.id != chosen_id:
        order.latex_allergy = True
    if order.latex_allergy and not customer.latex_allergy:
        before = CustomerDetails.of(customer)
        customer.latex_allergy = True
        # A customer whom this order has made gets no history: with one, a typing error could not be removed again.
        if not is_made_by(context.session, customer, order.id or 0):
            changes = before.changes(CustomerDetails.of(customer))
            write_customer_history(context, customer, f"changed with order {order.number}", changes)
