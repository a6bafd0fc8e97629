"""Office: the pace of the bench as its taps measured it, offered beside what the shop reckons with."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from flask import Blueprint, Response, make_response, render_template, request, url_for

from app.actions.errors import Refused
from app.actions.shop.work_times import Effect, MeasuredPace, effects_of, keep_pace, measured_pace
from app.places.office.recalculated import replan
from app.planning.work_times import FEWEST, Each, Figure, Finding, Outcome
from app.quoting.settings.all_settings import SETTINGS
from app.store.queries.work_times import TappedRow
from app.web.htmx import see_other
from app.web.requests import visit
from app.web.tables import csv_answer

LABELS = {setting.key: setting.label for setting in SETTINGS if setting.key in {*Figure}}
MOST_SHOWN = 40
"""Batches of one figure on the page; the .csv has all."""
CSV_HEAD = (
    *("figure", "order", "batch", "kind", "gas", "treated", "started_at", "filled_at", "balloons", "minutes"),
    *("seconds_each", "set_apart"),
)
SENTENCES = {
    Outcome.MOST_FORGOTTEN: "More were set apart than counted: what is left says too little to offer anything.",
    Outcome.AS_IT_IS: "What is kept lies within what the taps say: there is no reason to change it.",
    Outcome.BELOW_NOTHING: "They went faster than preparation and flow of the gas alone: look at those first.",
    Outcome.AFTER_HANDLING: "Differs from what is kept, but rests on the handling of latex: see to that first.",
    Outcome.OFFERED: "What is kept lies outside of what the taps say.",
}


@dataclass(frozen=True, slots=True)
class ShownBatch:
    number: int
    key: str
    filled: str
    kind: str
    balloons: int
    took: str
    seconds: str
    why: str


@dataclass(frozen=True, slots=True)
class ShownFigure:
    """measured, between: "" where nothing can be said. apart: how many, and why."""

    figure: str
    label: str
    present: str
    measured: str
    between: str
    counted: int
    apart: tuple[tuple[int, str], ...]
    sentence: str
    offered: int | None
    effects: tuple[Effect, ...]
    batches: tuple[ShownBatch, ...]
    more: int


def add_to(office: Blueprint) -> None:
    office.get("/pace")(pace)
    office.get("/pace.csv")(pace_csv)
    office.post("/pace")(keep)


def pace() -> Response:
    return _page()


def keep() -> Response:
    here, figure = visit(), request.form.get("figure", "")
    try:
        seconds = request.form.get("seconds", "")
        kept = keep_pace(here.session, here.shop, here.goods, here.now, figure, seconds)
    except Refused as refused:
        return _page(refused.problems[0].sentence, status=422)
    replan(f"{LABELS[kept.figure]}: {kept.offered} s is kept.")
    return see_other(url_for("office.pace"))


def pace_csv() -> Response:
    return csv_answer("pace.csv", CSV_HEAD, _cells(_measured()))


def _measured() -> MeasuredPace:
    here = visit()
    return measured_pace(here.session, here.shop, here.goods, here.now)


def _page(problem: str = "", status: int = 200) -> Response:
    measured = _measured()
    figures = [_show(finding, measured) for finding in measured.findings]
    return make_response(render_template("office/pace.html", figures=figures, problem=problem), status)


def _show(finding: Finding, measured: MeasuredPace) -> ShownFigure:
    apart = Counter(each.why for each in finding.apart if each.why)
    return ShownFigure(
        figure=finding.figure.value,
        label=LABELS[finding.figure],
        present=f"{finding.present:g} s",
        measured="" if finding.seconds is None else f"{finding.seconds:.0f} s",
        between="" if finding.low is None or finding.high is None else f"{finding.low:.0f} to {finding.high:.0f} s",
        counted=len(finding.used),
        apart=tuple((count, why.value) for why, count in apart.most_common()),
        sentence=_sentence(finding),
        offered=finding.offered,
        effects=effects_of(finding, visit().shop),
        batches=tuple(_show_batch(each, measured.rows[each.batch.key]) for each in finding.evidence[:MOST_SHOWN]),
        more=max(len(finding.evidence) - MOST_SHOWN, 0),
    )


def _sentence(finding: Finding) -> str:
    if finding.outcome is not Outcome.TOO_FEW:
        return SENTENCES[finding.outcome]
    counted = len(finding.used)
    batches = f"{counted or 'no'} batch{'' if counted == 1 else 'es'} can be counted"
    return f"Too few so far: {batches}, and {FEWEST} are needed before anything is offered."


def _show_batch(each: Each, row: TappedRow) -> ShownBatch:
    formats = visit().formats
    return ShownBatch(
        row.number,
        row.key,
        formats.moment(row.filled_at),
        f"{row.kind_name}, {row.gas}{', treated' if row.treated else ''}",
        row.balloons,
        formats.minutes(round(each.batch.seconds / 60)),
        f"{each.seconds:.0f} s",
        each.why.value if each.why else "",
    )


def _cells(measured: MeasuredPace) -> Iterator[Sequence[object]]:
    formats = visit().formats
    for finding in measured.findings:
        for each in finding.evidence:
            row = measured.rows[each.batch.key]
            hours = (formats.local(at).isoformat() for at in (row.started_at, row.filled_at))
            what = (row.number, row.key, row.kind_name, row.gas, "yes" if row.treated else "no")
            took = (row.balloons, round(each.batch.seconds / 60, 1), round(each.seconds, 1))
            yield (finding.figure.value, *what, *hours, *took, each.why.value if each.why else "")
