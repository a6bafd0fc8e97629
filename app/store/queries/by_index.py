"""This module writes conditions so that a database finds their rows by an index, however many there are.

With `or_` in a WHERE, SQLite and PostgreSQL may look at every row; of a union, each part has an index of its own.
It must be UNION ALL: to merge the parts of a UNION, SQLite reads each in the order of its ids, so from end to end.
"""

from typing import Any

from sqlalchemy import CTE, ColumnElement, Select, func, literal_column, select, union_all
from sqlalchemy.orm import InstrumentedAttribute

from app.store.models import Lot, Order

YES: ColumnElement[Any] = literal_column("1")
NONE: ColumnElement[Any] = literal_column("0")
"""Written out, not as parameters, because only then the index of such rows alone is used."""


def is_unpaid() -> ColumnElement[bool]:
    """Returns the condition that something is still to pay for an order."""
    return Order.unpaid == YES


def is_unreturned() -> ColumnElement[bool]:
    """Returns the condition that something of an order is still to come back, or to be taken down."""
    return Order.unreturned == YES


def is_there() -> ColumnElement[bool]:
    """Returns the condition that a lot is not used up."""
    return Lot.on_hand != NONE


def is_any_of(*conditions: ColumnElement[bool]) -> ColumnElement[bool]:
    """Returns the condition that at least one of these holds for an order."""
    return Order.id.in_(union_all(*(select(Order.id).where(condition) for condition in conditions)))


def distinct_values(column: InstrumentedAttribute[str]) -> CTE:
    """Returns the different texts in an indexed column, but the empty one, as `value`. Each is looked up after the
    one before, so that a text is read once, in however many rows it stands."""
    found = select(func.min(column).label("value")).where(column > "").cte("found", recursive=True)
    following = select(func.min(column)).where(column > found.c.value).correlate(found).scalar_subquery()
    return found.union_all(select(following).where(found.c.value.is_not(None)))


def distinct_values_of(
    owners: Select[int], owner: InstrumentedAttribute[Any], column: InstrumentedAttribute[str]
) -> CTE:
    """Returns the different texts in a column, as `value`, for each of the owners, as `owner`. owner, column: the
    first two columns of an index."""
    listed = owners.subquery()
    first = select(func.min(column)).where(owner == listed.c[0]).correlate(listed).scalar_subquery()
    found = select(listed.c[0].label("owner"), first.label("value")).cte(recursive=True)
    of_same = (owner == found.c.owner, column > found.c.value)
    following = select(func.min(column)).where(*of_same).correlate(found).scalar_subquery()
    return found.union_all(select(found.c.owner, following).where(found.c.value.is_not(None)))
