"""Office: how long work takes, as measured at the bench, beside the settings of the shop."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from flask import Blueprint, Response, make_response, render_template, request, url_for
from wtforms import HiddenField

from app.actions.shop.work_times import Effect, MeasuredWorkTimes, effects_of, measured_work_times, save_work_times
from app.places.office.recalculated import save_and_recalculate, status_of
from app.places.office.settings import stored_settings
from app.planning.work_times import MeasuredBatch, WorkFigure, WorkTimeFinding
from app.quoting.errors import Refused
from app.quoting.settings.all_settings import SETTINGS
from app.store.queries.work_times import TappedBatchRow
from app.web.forms import ShopForm
from app.web.htmx import see_other
from app.web.requests import request_context
from app.web.tables import csv_response
from app.web.wording.work_times import left_out_reason, outcome_sentence

LABELS = {setting.key: setting.label for setting in SETTINGS if setting.key in {*WorkFigure}}
MOST_SHOWN = 40
"""How many batches of one figure the page shows; the .csv has all."""
CSV_HEAD = (
    *(
        "setting",
        "order",
        "batch",
        "balloon_type",
        "gas",
        "treated",
        "started_at",
        "filled_at",
        "balloons",
        "minutes",
    ),
    *("seconds_per_balloon", "left_out_because"),
)


@dataclass(frozen=True, slots=True)
class TimedBatchRow:
    """A batch that was measured."""

    number: int
    key: str
    filled: str
    balloon_type: str
    balloons: int
    took: str
    seconds: str
    why: str


@dataclass(frozen=True, slots=True)
class ShownFigure:
    """Seconds are of one balloon. measured, low, high: None if nothing can be said. excluded: how many were left
    out, and why."""

    figure: str
    label: str
    present: float
    measured: float | None
    low: float | None
    high: float | None
    counted: int
    excluded: tuple[tuple[int, str], ...]
    outcome: str
    sentence: str
    offered: int | None
    effects: tuple[Effect, ...]
    batches: tuple[TimedBatchRow, ...]
    more: int


class OfferForm(ShopForm):
    """The seconds that were offered for a figure, as the page showed them."""

    figure = HiddenField()
    seconds = HiddenField()


def register(office: Blueprint) -> None:
    """Registers the pages of work times."""
    office.get("/work-times")(work_times)
    office.get("/work-times.csv")(work_times_csv)
    office.post("/work-times")(save_work_time)


def work_times() -> Response:
    """Shows the work times."""
    return _page()


def save_work_time() -> Response:
    """Saves an offered value."""
    form = OfferForm(request.form)
    try:
        is_unchanged = stored_settings(form.figure.data or "-").is_unchanged(form)
        if is_unchanged and save_and_recalculate(form, lambda: _save(form)):
            return see_other(url_for("office.work_times"))
    except Refused as refused:
        form.add_problems(refused.problems)
    return _page(form, status=status_of(form))


def _save(form: OfferForm) -> str:
    """Saves the offered value, and returns the sentence about it. Raises Refused."""
    saved = save_work_times(request_context().context, form.figure.data or "", form.seconds.data or "")
    return f"{LABELS[saved.figure]} saved: {saved.offered} s."


def work_times_csv() -> Response:
    """Returns the measurements as a table."""
    return csv_response("work-times.csv", CSV_HEAD, _cells(_measured()))


def _measured() -> MeasuredWorkTimes:
    """Returns what the taps measured."""
    here = request_context()
    return measured_work_times(here.context)


def _page(form: OfferForm | None = None, status: int = 200) -> Response:
    """Returns the page of work times."""
    measured = _measured()
    figures = [_show(finding, measured) for finding in measured.findings]
    drawn = stored_settings(*WorkFigure).drawn
    page = render_template("office/work_times.html", figures=figures, form=form or OfferForm(), drawn=drawn)
    return make_response(page, status)


def _show(finding: WorkTimeFinding, measured: MeasuredWorkTimes) -> ShownFigure:
    """Returns a figure as the page shows it."""
    excluded = Counter(each.why for each in finding.excluded if each.why)
    return ShownFigure(
        figure=finding.figure.value,
        label=LABELS[finding.figure],
        present=finding.current_seconds,
        measured=finding.seconds,
        low=finding.low,
        high=finding.high,
        counted=len(finding.used),
        excluded=tuple((count, left_out_reason(why)) for why, count in excluded.most_common()),
        outcome=finding.outcome.value,
        sentence=outcome_sentence(finding),
        offered=finding.offered,
        effects=effects_of(finding, request_context().shop),
        batches=tuple(_show_batch(each, measured.rows[each.batch.key]) for each in finding.evidence[:MOST_SHOWN]),
        more=max(len(finding.evidence) - MOST_SHOWN, 0),
    )


def _show_batch(each: MeasuredBatch, row: TappedBatchRow) -> TimedBatchRow:
    """Returns a measured batch as the page shows it."""
    formats = request_context().formats
    return TimedBatchRow(
        row.number,
        row.key,
        formats.moment(row.filled_at),
        f"{row.balloon_type_name}, {row.gas}{', treated' if row.treated else ''}",
        row.balloons,
        formats.minutes(round(each.batch.seconds / 60)),
        f"{each.seconds:.0f} s",
        left_out_reason(each.why),
    )


def _cells(measured: MeasuredWorkTimes) -> Iterator[Sequence[object]]:
    """Yields a row for each measured batch."""
    formats = request_context().formats
    for finding in measured.findings:
        for each in finding.evidence:
            row = measured.rows[each.batch.key]
            hours = (formats.local(at).isoformat() for at in (row.started_at, row.filled_at))
            what = (row.number, row.key, row.balloon_type_name, row.gas, "yes" if row.treated else "no")
            took = (row.balloons, round(each.batch.seconds / 60, 1), round(each.seconds, 1))
            yield (finding.figure.value, *what, *hours, *took, left_out_reason(each.why))
