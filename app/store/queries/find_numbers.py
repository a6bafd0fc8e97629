"""This module finds the numbers of customers by part of a name or a phone, whoever ordered last first."""

import sys
from collections.abc import Callable, Sequence

from sqlalchemy import ColumnElement, Select, func, select
from sqlalchemy.orm import Session, aliased

from app.store.models import Customer
from app.store.queries.phones import phone_matches
from app.store.search_keys import fold_text

MIN_SEARCH_LETTERS = 2
LATEST = 2000
"""Among so many of the latest customers a part of a name is looked for first: they are the likeliest to call."""
LAST_LETTER = chr(sys.maxunicode)
LATEST_FIRST = (Customer.last_order_at.desc().nulls_last(), Customer.id.desc())
Conditions = Callable[[type[Customer]], Sequence[ColumnElement[bool]]]
"""Returns what holds besides, in the columns of all customers or of the latest ones."""
Search = Callable[[Session, int | None, Conditions], list[int]]
"""Returns the numbers of at most so many customers for whom the conditions hold too, in the order of the list."""


def by_phone(text: str) -> Search:
    def search(session: Session, limit: int | None, conditions: Conditions) -> list[int]:
        held = unmerged_customers().where(phone_matches(Customer.phone_digits, text), *conditions(Customer))
        return load_numbers(session, held, limit)

    return search


def by_name(text: str) -> Search | None:
    """Returns the search for customers by name; None when the text has too few letters for a search."""
    name = fold_text(" ".join(text.split()))
    if sum(letter.isalpha() for letter in name) < MIN_SEARCH_LETTERS:
        return None

    def search(session: Session, limit: int | None, conditions: Conditions) -> list[int]:
        begins = Customer.name_folded.startswith(name, autoescape=True)
        ids = _that_begin(session, name, limit, conditions)
        rest = None if limit is None else limit - len(ids)
        if rest != 0:
            held = unmerged_customers().where(Customer.name_folded.contains(name, autoescape=True), ~begins)
            ids += load_numbers(session, held.where(*conditions(Customer)), rest)
        return ids

    return search


def _that_begin(session: Session, name: str, limit: int | None, conditions: Conditions) -> list[int]:
    """Returns the numbers of the customers whose name begins so. If the latest customers are too few for the list,
    the index of names has the others."""
    begins = Customer.name_folded.startswith(name, autoescape=True)
    if limit is not None:
        columns = (Customer.id, Customer.name_folded, Customer.phone_digits, Customer.last_order_at)
        newest = unmerged_customers().with_only_columns(*columns)
        latest = aliased(Customer, newest.order_by(*LATEST_FIRST).limit(LATEST).subquery())
        starts = latest.name_folded.startswith(name, autoescape=True)
        by_age = (latest.last_order_at.desc().nulls_last(), latest.id.desc())
        found = select(latest.id).where(starts, *conditions(latest)).order_by(*by_age)
        ids = session.scalars(found.limit(limit)).all()
        if len(ids) == limit:
            return [*ids]
    if session.get_bind().dialect.name != "sqlite":  # others compare letters by a language, not by their code
        return load_numbers(session, unmerged_customers().where(begins, *conditions(Customer)), limit)
    among = Customer.name_folded.between(name, name + LAST_LETTER)
    is_unmerged = func.coalesce(Customer.merged_into_id, 0) == 0  # so said, it does not lead to the index of all
    return load_numbers(
        session, select(Customer.id).where(among, begins, is_unmerged, *conditions(Customer)), limit
    )


def unmerged_customers() -> Select[int]:
    """Returns the query of the numbers of all customers that were not merged into others.

    It asks for numbers only, because the index then has all that is needed; the rows are read only for the
    customers who are shown.
    """
    return select(Customer.id).where(Customer.merged_into_id.is_(None))


def load_numbers(session: Session, found: Select[int], limit: int | None) -> list[int]:
    return [*session.scalars(found.order_by(*LATEST_FIRST).limit(limit))]


def no_conditions(_customers: type[Customer]) -> Sequence[ColumnElement[bool]]:
    """Returns nothing that holds besides."""
    return ()
