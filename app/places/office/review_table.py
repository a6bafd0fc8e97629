"""Office: the review as a table for elsewhere. Each completed order is a row; the cancelled ones follow, with a fee
and without revenue, then the missed ones."""

from collections.abc import Iterator
from datetime import datetime, timedelta

from flask.wrappers import Response

from app.actions.money.margins import margin_of_row
from app.craft.cost import Margin
from app.craft.money import half_up
from app.store.engine import Database
from app.store.queries.review import CancelledRow, CompletedRow, MissedRow, completed
from app.web.formats import Formats
from app.web.requests import request_context, served_app
from app.web.tables import csv_stream
from app.web.wording.bill import balance_of_row
from app.web.wording.order_state import state_of_order

CSV_HEAD = (
    "order",
    "customer",
    "state",
    "ready_by",
    "ready_at",
    "handed_over_at",
    "minutes_late",
    "verdict",
    "balloons",
    "burst",
    "revenue",
    "revenue_without_tax",
    "cost",
    "profit",
    "profit_percent",
    "payment",
    "to_pay",
    "cancelled_at",
    "cancellation_fee",
    "missed",
)
STEP = timedelta(days=14)
"""The completed orders of so long are read at once."""
Cells = tuple[object, ...]


def review_table(
    name: str, start: datetime, end: datetime, cancelled: list[CancelledRow], missed: list[MissedRow]
) -> Response:
    """Returns the table of what was completed between two moments, cancelled and missed, as it is sent."""
    formats, database = request_context().formats, served_app().database
    return csv_stream(name, CSV_HEAD, _pages(database, formats, start, end, cancelled, missed))


def _pages(
    database: Database,
    formats: Formats,
    start: datetime,
    end: datetime,
    cancelled: list[CancelledRow],
    missed: list[MissedRow],
) -> Iterator[list[Cells]]:
    """Yields the rows some at a time, each time with a session of its own: a slow download keeps none open."""
    while start < end:
        until = min(start + STEP, end)
        with database.reading() as session:
            rows = completed(session, start, until)
        yield [_cells(row, formats) for row in rows]
        start = until
    yield [_cancelled_cells(row, formats) for row in cancelled]
    yield [_missed_cells(row, formats) for row in missed]


def percent_of(margin: Margin) -> str:
    """Returns the percentage to a tenth, half up, as data; empty if nothing was charged."""
    if margin.percent is None:
        return ""
    tenths = half_up(margin.percent * 10)
    return f"{tenths / 10:.1f}"


def _cells(row: CompletedRow, formats: Formats) -> Cells:
    """Returns the row of an order."""
    hours = (row.ready_by, row.finished_at, row.handed_over_at)
    return (
        row.number,
        row.customer,
        state_of_order(row).words,
        *(formats.local(hour).isoformat() if hour else "" for hour in hours),
        row.minutes_late,
        row.verdict,
        row.balloons,
        row.bursts,
        formats.table_amount(row.revenue_minor),
        *_earned_cells(row, formats),
        balance_of_row(row).state,
        formats.table_amount(row.due_minor),
        "",
        "",
        "",
    )


def _cancelled_cells(row: CancelledRow, formats: Formats) -> Cells:
    """Returns the row of a cancelled order: without revenue, cost and balloons, but with its fee."""
    return (
        *_unsold_cells(row, formats),
        balance_of_row(row).state,
        formats.table_amount(row.due_minor),
        formats.local(row.cancelled_at).isoformat(),
        formats.table_amount(row.cancel_fee_minor),
        "",
    )


def _missed_cells(row: MissedRow, formats: Formats) -> Cells:
    """Returns the row of a missed order: “not made”, or “open” if nobody has said what became of it. What was paid
    for it is to be paid back."""
    to_pay = formats.table_amount(-row.paid_minor) if row.paid_minor else ""
    return (*_unsold_cells(row, formats), "", to_pay, "", "", "not made" if row.not_made_at else "open")


def _unsold_cells(row: CancelledRow | MissedRow, formats: Formats) -> Cells:
    """Returns the first cells of an order that is no sale: without revenue, cost and balloons."""
    empty = [""] * (CSV_HEAD.index("payment") - CSV_HEAD.index("ready_at"))
    state = state_of_order(row).words
    return (row.number, row.customer, state, formats.local(row.ready_by).isoformat(), *empty)


def _earned_cells(row: CompletedRow, formats: Formats) -> tuple[str, ...]:
    """Returns cost and profit; empty if the cost is unknown."""
    amount, margin = formats.table_amount, margin_of_row(row)
    if margin is None:
        return amount(row.net_minor), "", "", ""
    return amount(row.net_minor), amount(margin.cost_minor), amount(margin.minor), percent_of(margin)
