"""The days on which the shop is closed: added and removed. Open orders must be calculated again afterwards."""

from collections.abc import Sequence

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.actions.errors import NotFound
from app.planning.closed_days import MOST_DAYS, ClosedDays
from app.quoting.errors import Problem, Refused
from app.store.models import ClosedDaysRow

MOST_LETTERS = 60
ENDS_BEFORE = "Enter a last day that is not before the first."
TOO_LONG = f"Enter at most {MOST_DAYS} days. For longer, leave the weekdays blank."
ENTER_REASON = f"Enter a reason of 1 to {MOST_LETTERS} letters, for example Christmas."
CLOSED_ALREADY = "These days are closed already: {reason}. Remove that first."


def load_closed_days(session: Session) -> Sequence[ClosedDaysRow]:
    """Returns the ranges on which the shop is closed, the earliest first."""
    return session.scalars(select(ClosedDaysRow).order_by(ClosedDaysRow.first, ClosedDaysRow.id)).all()


def add_closed_days(session: Session, days: ClosedDays) -> ClosedDaysRow:
    """Saves a range of closed days and returns it. Raises Refused with a problem at each wrong figure."""
    reason = " ".join(days.reason.split())
    problems = []
    if days.last < days.first:
        problems.append(Problem("last", ENDS_BEFORE))
    elif days.days > MOST_DAYS:
        problems.append(Problem("last", TOO_LONG))
    if not 1 <= len(reason) <= MOST_LETTERS:
        problems.append(Problem("reason", ENTER_REASON))
    if not problems and (other := _same_days(session, days)):
        problems.append(Problem("first", CLOSED_ALREADY.format(reason=other.reason)))
    if problems:
        raise Refused(*problems)
    row = ClosedDaysRow(first=days.first, last=days.last, reason=reason, yearly=days.yearly)
    session.add(row)
    session.flush()
    return row


def remove_closed_days(session: Session, closed_id: int) -> str:
    """Removes a range and returns its reason. Raises NotFound."""
    row = session.get(ClosedDaysRow, closed_id)
    if row is None:
        raise NotFound("These closed days do not exist.")
    session.delete(row)
    session.flush()
    return row.reason


def _same_days(session: Session, days: ClosedDays) -> ClosedDaysRow | None:
    """Returns a range with the same dates; None if there is none. Ranges may overlap otherwise, as a holiday within
    a vacation."""
    same = select(ClosedDaysRow).where(ClosedDaysRow.first == days.first, ClosedDaysRow.last == days.last)
    return session.scalar(same.limit(1))
