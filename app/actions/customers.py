"""Who orders: found again by name and phone, corrected, and doubles merged."""

import re
from collections.abc import Sequence
from datetime import datetime

from sqlalchemy import func, or_, select, update
from sqlalchemy.orm import Session

from app.actions.errors import NotThere, Problem, Refused
from app.actions.history import write_history
from app.actions.wish import OVER_THE_COUNTER
from app.store.models import Customer, CustomerPhone, Order
from app.store.searched import digits_of, fold, phone_key

MOST_OF_A_NAME = 80
MOST_OF_A_PHONE = 40
MOST_PHONES = 8
LEAST_DIGITS = 3


def name_problem(name: str) -> str:
    """What is wrong with a name, '' when nothing is."""
    if not name:
        return "Who is it for? A name, please."
    if not any(letter.isalpha() for letter in name):
        return "A name needs at least one letter, so that it can be read out and found again."
    return ""


def phone_problem(phone: str) -> str:
    """What is wrong with a phone, '' when nothing is."""
    if not re.fullmatch(r"\+?[0-9\s().\-/]*", phone):
        return "Digits, please, with spaces or + ( ) - / between them; names go above."
    if len(digits_of(phone)) < LEAST_DIGITS:
        return "A phone number has at least three digits."
    return ""


def load_customer(session: Session, customer_id: int) -> Customer:
    """The customer, or the one that they were merged into. Raises NotThere."""
    customer = session.get(Customer, customer_id)
    if customer is None:
        raise NotThere(f"There is no customer {customer_id}.")
    return _kept(session, customer)


def customer_of(session: Session, name: str, phone: str, chosen_id: int | None) -> Customer | None:
    """Whose order it is: who was chosen, if the name is theirs still, else who has this name and phone, else
    somebody new. None for a sale without a name, and for one without a phone where nobody was chosen.

    Two names with one phone are two customers. A new phone of the chosen customer is added to theirs.
    """
    folded = fold(name)
    chosen = session.get(Customer, chosen_id) if chosen_id else None
    kept = _kept(session, chosen) if chosen else None
    if kept and folded in _names(session, kept):
        _add_phone(kept, phone)
        return kept
    if not digits_of(phone) or folded == fold(OVER_THE_COUNTER):
        return None
    return _known(session, folded, phone) or _new(session, name, phone)


def give_order(session: Session, order: Order, chosen_id: int | None, *, renamed: bool = True) -> None:
    """The order gets its customer, and the customer their latest order. renamed: the order's name is not what it
    was; an order that has only another phone stays with its customer."""
    before = order.customer_id
    if before is not None and not renamed and chosen_id in (None, before):
        _add_phone(load_customer(session, before), order.phone)
        return
    customer = customer_of(session, order.customer, order.phone, chosen_id)
    order.customer_id = customer.id if customer else None
    if customer:
        customer.last_order_at = max(customer.last_order_at or order.taken_at, order.taken_at)
    if before is not None and before != order.customer_id:
        session.flush()  # so that the count below sees that the order has gone
        _latest_anew(session, before)


def _latest_anew(session: Session, customer_id: int) -> None:
    latest = session.scalar(select(func.max(Order.taken_at)).where(Order.customer_id == customer_id))
    session.execute(update(Customer).where(Customer.id == customer_id).values(last_order_at=latest))


def _kept(session: Session, customer: Customer) -> Customer:
    if customer.merged_into_id is None:
        return customer
    return session.get_one(Customer, customer.merged_into_id)


def _names(session: Session, customer: Customer) -> set[str]:
    """Theirs, and those of the doubles merged into them."""
    of_doubles = select(Customer.name_folded).where(Customer.merged_into_id == customer.id)
    return {customer.name_folded, *session.scalars(of_doubles)}


def _known(session: Session, folded: str, phone: str) -> Customer | None:
    named = session.scalars(select(Customer).where(Customer.name_folded == folded).order_by(Customer.id))
    return next((kept for one in named if _has_phone(kept := _kept(session, one), phone)), None)


def _new(session: Session, name: str, phone: str) -> Customer:
    customer = Customer(name=name, name_folded=fold(name), phone_digits="", phones=[])
    _add_phone(customer, phone)
    session.add(customer)
    session.flush()  # the order needs its number
    return customer


def _has_phone(customer: Customer, phone: str) -> bool:
    return phone_key(phone) in {phone_key(own.shown) for own in customer.phones}


def _add_phone(customer: Customer, phone: str) -> None:
    if digits_of(phone) and not _has_phone(customer, phone):
        customer.phones.append(CustomerPhone(shown=phone))
        customer.phone_digits = _searched(customer)


def _searched(customer: Customer) -> str:
    return " ".join(digits_of(phone.shown) for phone in customer.phones)


def change_customer(session: Session, customer_id: int, name: str, phones: Sequence[str]) -> Customer:
    """Their name and all of their phones; one left empty goes. Raises NotThere, Refused."""
    customer = load_customer(session, customer_id)
    name, phones = " ".join(name.split()), [" ".join(phone.split()) for phone in phones]
    if problems := [*_name_problems(name), *_phone_problems(phones)]:
        raise Refused(*problems)
    customer.name, customer.name_folded = name, fold(name)
    alike = {phone_key(phone): phone for phone in reversed(phones) if phone}
    own = {phone.shown: phone for phone in customer.phones}
    customer.phones = [own.get(shown) or CustomerPhone(shown=shown) for shown in reversed(alike.values())]
    customer.phone_digits = _searched(customer)
    session.flush()
    return customer


def _name_problems(name: str) -> list[Problem]:
    wrong = name_problem(name)
    if not wrong and len(name) > MOST_OF_A_NAME:
        wrong = f"A name takes at most {MOST_OF_A_NAME} letters; this has {len(name)}."
    return [Problem("name", wrong)] if wrong else []


def _phone_problems(phones: Sequence[str]) -> list[Problem]:
    problems = []
    for place, phone in enumerate(phones):
        wrong = phone_problem(phone) if phone else ""
        if len(phone) > MOST_OF_A_PHONE:
            wrong = f"A phone number takes at most {MOST_OF_A_PHONE} letters; this has {len(phone)}."
        elif place >= MOST_PHONES and phone:
            wrong = f"A customer has at most {MOST_PHONES} phones here: empty one first."
        if wrong:
            problems.append(Problem(f"phones.{place}", wrong))
    return problems


def merge_customers(session: Session, who: str, keep_id: int, double_id: int, now: datetime) -> Customer:
    """The double's phones and orders become those of the customer who is kept. Raises NotThere, Refused."""
    if keep_id == double_id:
        raise Refused(Problem("double", "That is one and the same customer: choose another to merge with."))
    keep, double = _both(session, keep_id, double_id)
    for phone in double.phones:
        _add_phone(keep, phone.shown)
    moved = session.scalars(select(Order).where(Order.customer_id == double.id).order_by(Order.id)).all()
    for order in moved:
        order.customer_id, order.version = keep.id, order.version + 1
        write_history(session, order, who, "put with a double", [("customer's page", double.name, keep.name)], now)
    theirs = or_(Customer.id == double.id, Customer.merged_into_id == double.id)
    session.execute(update(Customer).where(theirs).values(merged_into_id=keep.id))
    keep.last_order_at = max(filter(None, (keep.last_order_at, double.last_order_at)), default=None)
    session.flush()
    return keep


def _both(session: Session, *ids: int) -> list[Customer]:
    """Both customers in the order asked for; nobody else may merge them until the session ends."""
    found = select(Customer).where(Customer.id.in_(ids)).order_by(Customer.id).with_for_update()
    rows = {row.id: row for row in session.scalars(found)}
    for one in ids:
        if one not in rows:
            raise NotThere(f"There is no customer {one}.")
        if rows[one].merged_into_id is not None:
            sentence = f"{rows[one].name} was merged with another customer already: look at that one."
            raise Refused(Problem("double", sentence))
    return [rows[one] for one in ids]
