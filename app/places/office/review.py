"""Office: the questions of the review, each with its pictures and tables, for any two dates, against the
period before and the year before; and each table for elsewhere."""

from collections.abc import Callable

from flask import Blueprint, abort, render_template, request
from flask.wrappers import Response
from werkzeug.exceptions import BadRequest

from app.actions.bench.leftovers import start_of_today
from app.craft.comparing import Change, change_of_share, change_of_sum
from app.places.office.review_bench import (
    hours_at_the_bench,
    what_burst,
    what_was_late,
    when_it_is_busy,
)
from app.places.office.review_gas import helium_drawn
from app.places.office.review_orders import DatesForm
from app.places.office.review_period import Period, presets_of, whole_before
from app.places.office.review_sales import (
    shares_of_orders,
    what_earns,
    what_is_unpaid,
    what_was_lost,
    what_was_sold,
    who_comes_back,
)
from app.places.office.review_shown import Asked, Question, Table, cell_data, cell_words
from app.store.queries.review_bench import missed_count
from app.store.queries.review_sales import PeriodFigures, figures_of
from app.web.requests import request_context
from app.web.tables import csv_response
from app.web.wording import review as words

MOST_CHANGES = 3
QUESTIONS: dict[str, Callable[[Asked], Question]] = {
    "sold": what_was_sold,
    "earned": what_earns,
    "burst": what_burst,
    "late": what_was_late,
    "busy": when_it_is_busy,
    "returning": who_comes_back,
    "unpaid": what_is_unpaid,
    "hours": hours_at_the_bench,
    "helium": helium_drawn,
    "shares": lambda asked: shares_of_orders(asked, _figures(asked)),
    "lost": what_was_lost,
}
"""By name, in the order of the page."""


def register(office: Blueprint) -> None:
    """Registers the review and the tables of its questions."""
    office.get("/review")(review)
    office.get("/review/<name>.csv")(question_csv)


def review() -> tuple[str, int]:
    """Shows all questions, and above them what has changed most since the period before."""
    form = DatesForm(request.args)
    here, is_valid, asked = request_context(), form.validate(), _asked(form)
    period, formats = asked.period, asked.formats
    if is_valid:
        form.first.data, form.last.data = formats.typed_date(period.first), formats.typed_date(period.last)
    figures = _figures(asked)
    missed = [missed_count(asked.session, *one.bounds, asked.today, asked.now) for one in asked.periods]
    shown = [
        shares_of_orders(asked, figures) if name == "shares" else ask(asked) for name, ask in QUESTIONS.items()
    ]
    page = render_template(
        "office/review.html",
        form=form,
        period=period,
        presets=presets_of(period, here.context.today, "office.review"),
        earlier=whole_before(period),
        questions=shown,
        figures=[*zip(("now", *period.compared), figures, missed, asked.periods, strict=True)],
        changes=_changes(figures, missed, asked),
        words=words,
        cell_words=lambda value, sort: cell_words(value, sort, formats),
    )
    return page, 200 if is_valid else 422


def question_csv(name: str) -> Response:
    """Returns the table of one picture for elsewhere."""
    form = DatesForm(request.args)
    if not form.validate():
        raise BadRequest(form.problems[0].sentence)
    question = name.partition("-")[0]
    if question not in QUESTIONS:
        abort(404)
    asked = _asked(form)
    tables = {picture.table.name: picture.table for picture in QUESTIONS[question](asked).pictures}
    if name not in tables:
        abort(404)
    return _csv(tables[name], asked)


def _csv(table: Table, asked: Asked) -> Response:
    head = [column.name for column in table.columns]
    rows = (
        [
            cell_data(value, column.sort, asked.formats)
            for value, column in zip(row.values, table.columns, strict=True)
        ]
        for row in table.rows
    )
    file = f"{table.name}-{asked.period.first}-{asked.period.last}.csv"
    return csv_response(file, head, rows)


def _asked(form: DatesForm) -> Asked:
    here = request_context()
    first, last = form.dates
    period = Period(first, last, here.shop.opening)
    return Asked(here.context, period, here.shop, here.formats, start_of_today(here.context), here.now)


def _figures(asked: Asked) -> list[PeriodFigures]:
    """Returns the figures of the period, and of those with which it is compared."""
    return [figures_of(asked.session, *one.bounds) for one in asked.periods]


def _changes(figures: list[PeriodFigures], missed: list[int], asked: Asked) -> list[tuple[str, str]]:
    """Returns the names and the sentences of what has changed most since the period before, the surest first."""
    every = changes_between(figures[0], figures[1], missed[0], missed[1])
    some = sorted((pair for pair in every.items() if pair[1].is_one), key=lambda pair: -abs(pair[1].strength))
    return [(name, words.change_sentence(name, change, asked.formats)) for name, change in some[:MOST_CHANGES]]


def changes_between(
    now: PeriodFigures, before: PeriodFigures, missed_now: int, missed_before: int
) -> dict[str, Change]:
    """Returns how each figure differs from that of the period before."""

    def counted(one: int, other: int) -> Change:
        return change_of_sum(one, other, one + other)

    def shared(name: str) -> Change:
        one, other = (getattr(figures, name) for figures in (now, before))
        return change_of_share((one, now.orders), (other, before.orders))

    return {
        "revenue": change_of_sum(now.revenue_minor, before.revenue_minor, now.squares + before.squares),
        "orders": counted(now.orders, before.orders),
        "quick_sales": counted(now.quick_sales, before.quick_sales),
        "missed": counted(missed_now, missed_before),
        "late": shared("late"),
        "burst": change_of_share(
            (now.bursts, now.balloons + now.bursts), (before.bursts, before.balloons + before.bursts)
        ),
        "again": shared("again"),
        "treated": shared("treated"),
        "delivered": shared("delivered"),
        "extras": shared("with_extras"),
    }
