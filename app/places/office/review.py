"""Office: completed orders between two dates, as a page and as a table for elsewhere."""

from datetime import date, timedelta

from flask import Blueprint, render_template, request
from flask.wrappers import Response

from app.planning.shoptime import day_bounds, local_day
from app.store.queries.review import CompletedRow, completed, totals
from app.web.days import read_date
from app.web.door import visit
from app.web.tables import csv_answer

CSV_HEAD = (
    "order",
    "customer",
    "ready_by",
    "finished_at",
    "handed_over_at",
    "minutes_late",
    "verdict",
    "balloons",
    "bursts",
    "revenue",
)
WEEK = timedelta(days=6)


def add_to(office: Blueprint) -> None:
    office.get("/review")(review)
    office.get("/review.csv")(review_csv)


def review() -> str:
    first, last = _dates()
    rows = _completed(first, last)
    return render_template("office/review.html", rows=rows, totals=totals(rows), first=first, last=last)


def review_csv() -> Response:
    first, last = _dates()
    cells = (_cells(row) for row in _completed(first, last))
    return csv_answer(f"review-{first}-{last}.csv", CSV_HEAD, cells)


def _cells(row: CompletedRow) -> tuple[object, ...]:
    formats = visit().formats
    hours = (row.ready_by, row.finished_at, row.handed_over_at)
    return (
        row.number,
        row.customer,
        *(formats.local(hour).isoformat() if hour else "" for hour in hours),
        row.minutes_late,
        row.verdict,
        row.balloons,
        row.bursts,
        formats.amount(row.revenue_minor),
    )


def _dates() -> tuple[date, date]:
    """Both included; the last seven days unless asked otherwise, and the right way round."""
    here = visit()
    last = read_date(request.args.get("to")) or local_day(here.now, here.formats.zone)
    first = read_date(request.args.get("from")) or last - WEEK
    return min(first, last), max(first, last)


def _completed(first: date, last: date) -> list[CompletedRow]:
    here = visit()
    start, _ = day_bounds(first, here.formats.zone)
    _, end = day_bounds(last, here.formats.zone)
    return completed(here.session, start, end)
