"""The open quote: what the counter computes, for a shop's own pages or a test. It saves nothing."""

import math
from collections.abc import Iterable, Sequence
from datetime import UTC, datetime
from ipaddress import ip_address
from typing import Any
from urllib.parse import urlsplit

from flask import Blueprint, Response, abort, jsonify, make_response, request
from werkzeug.exceptions import BadRequest

from app.actions.bench.alternatives import first_later_quote
from app.actions.context import Context
from app.actions.gas.outlook import gas_is_short, gas_outlook
from app.actions.orders.answer import RequestAnswer, answer_request
from app.actions.stock.shortages import find_shortages
from app.places.counter.open_request import FieldProblem, read_open_request
from app.places.counter.open_schema import DESCRIPTION
from app.places.counter.shown_alternatives import alternative_title
from app.planning.finishing import Fit
from app.planning.window import Verdict
from app.quoting.alternatives import Alternative
from app.quoting.errors import Problem, Refused
from app.quoting.journey import trip_of
from app.quoting.quote import Quote
from app.quoting.runs import BatchPlan
from app.quoting.way_search import line_verdict
from app.web.requests import only_reads, request_context
from app.web.wording import open_quote as words
from app.web.wording.stock import short_article

open_quote = Blueprint("open_quote", __name__)
ASKER = "open quote"
MOST_BYTES = 64 * 1024
FIELDS = {
    "event_start": "event.starts",
    "lasts_until": "event.ends",
    "ready_by": "hand_over.at",
    "arrives_at": "hand_over.at",
    "hand_over": "hand_over.how",
}
"""Where a field of a request stands in the JSON, if not on a line."""


@open_quote.post("/quote.json")
@only_reads
def quote_json() -> Response:
    """Returns the quote for the JSON that was sent, or 422 with what is wrong in it."""
    _refuse_strangers()
    here = request_context()
    wanted, problems = read_open_request(_sent(), here.shop, here.catalogue)
    if wanted is None:
        return _refusal(problems)
    context = Context(here.session, ASKER, here.shop, here.catalogue, here.now)
    try:
        return jsonify(_answer(context, answer_request(context, wanted)))
    except Refused as refused:
        return _refusal(_field_problem(one, wanted.lines) for one in refused.problems)


@open_quote.get("/openapi.json")
def description() -> Response:
    """Returns what the open quote takes and gives, as OpenAPI 3.1 has it."""
    return jsonify(DESCRIPTION)


def _refuse_strangers() -> None:
    """Refuses who is not on this machine, and pages of other sites that ask through a browser."""
    if not ip_address(request.remote_addr or "0.0.0.0").is_loopback:
        abort(403)
    origin = request.headers.get("Origin")
    if origin is not None and urlsplit(origin).netloc != request.host:
        abort(403)


def _sent() -> Any:
    """Returns the JSON that was sent. Ends the request with 413, 415 or 400 when there is none to read."""
    if request.mimetype != "application/json":
        abort(415)
    if (request.content_length or 0) > MOST_BYTES:
        abort(413)
    try:
        return request.get_json()
    except (BadRequest, RecursionError):
        abort(make_response(_refusal([FieldProblem("", words.CANNOT_BE_READ)]), 400))


def _refusal(problems: Iterable[FieldProblem]) -> Response:
    told = [{"field": one.field, "sentence": one.sentence.replace("\u00a0", " ")} for one in problems]
    return make_response(jsonify(problems=told), 422)


def _field_problem(problem: Problem, lines: Sequence[Any]) -> FieldProblem:
    """Returns the problem at its field of the JSON."""
    if problem.line is None:
        return FieldProblem(FIELDS.get(problem.field, problem.field), problem.sentence)
    goods = "kind" if lines[problem.line].design_id is None else "design"
    name = goods if problem.field == "what" else problem.field
    return FieldProblem(f"lines[{problem.line}].{name}", problem.sentence)


def _answer(context: Context, answer: RequestAnswer) -> dict[str, Any]:
    quote, fits = answer.quote, _is_in_time(answer)
    short = _short(context, quote)
    return {
        "verdict": _verdict(quote.float_verdict),
        "can_make": fits and not short,
        "total_minor": quote.total_minor,
        "currency": str(context.shop.display["currency_code"]),
        "lines": [
            {
                "title": line.title,
                "verdict": _verdict(line_verdict(quote, place)),
                "total_minor": line.total_minor,
                "batches": [_batch(plan, context, fits=fits) for plan in quote.batches_of(line)],
                "alternatives": [_alternative(one, context) for one in answer.alternatives if one.line == place],
            }
            for place, line in enumerate(quote.lines)
        ],
        "bench": {
            "fits": fits,
            "short_seconds": answer.fit.lacking_seconds or _crew_lacks_seconds(quote, context.now),
            "first_ready": _iso(_first_ready(context, answer)),
        },
        "stock": short,
        "problems": [],
    }


def _batch(plan: BatchPlan, context: Context, *, fits: bool) -> dict[str, Any]:
    fill, promise, loose = plan.fill, plan.fill.endurance.promise, context.shop.float_defaults.load_g
    load = loose if fill.filling.load_g is None else fill.filling.load_g
    return {
        "kind": fill.balloon_type.name,
        "quantity": fill.quantity,
        "fill_size_in": fill.size.diameter_in,
        "gas": fill.spec.gas,
        "treated": fill.spec.treated,
        "load_g": round(load, 4),
        "at_least": promise.at_least,
        "of": promise.of,
        "reasons": list(plan.window.outcome.limits),
        **_window(plan, fits=fits),
    }


def _window(plan: BatchPlan, *, fits: bool) -> dict[str, Any]:
    """Returns when the batch may be filled, and the chance of a start at the latest of these moments. A bench that
    cannot make it has no latest start; the chance is then that of the batch's own."""
    return {
        "not_before": _iso(plan.window.not_before),
        "inflate_by": _iso(plan.window.inflate_by) if fits else None,
        "chance": plan.window.chance,
    }


def _alternative(one: Alternative, context: Context) -> dict[str, Any]:
    fits = one.fit is Fit.FITS
    return {
        "way": one.change,
        "title": alternative_title(one, request_context().formats).replace("\u00a0", " "),
        "extra_minor": one.costs_minor,
        **_window(one.tightest, fits=fits),
        "verdict": _verdict(one.verdict),
        "can_make": fits and not _short(context, one.quote),
    }


def _first_ready(context: Context, answer: RequestAnswer) -> datetime | None:
    """Returns the first time at which the bench, or the crew, can have the order ready: its own, or a later one;
    None if none was found."""
    if answer.fit.fit is Fit.FITS:
        return answer.quote.ready_at if answer.quote.crew_is_late else answer.quote.ready_by
    later = first_later_quote(answer.quote, answer.fit, answer.quote_for, answer.bench_search, context.shop)
    return later.leaves_at if later else None


def _is_in_time(answer: RequestAnswer) -> bool:
    """Returns whether the bench, or the crew at the venue, can have the order ready in time."""
    return answer.fit.fit is Fit.FITS and not answer.quote.crew_is_late


def _crew_lacks_seconds(quote: Quote, now: datetime) -> int:
    """Returns how much later the crew can start to fill than it must; 0 if it is in time, or if there is none."""
    late, trip = quote.late_run, trip_of(quote.request)
    if late is None or trip is None:
        return 0
    return math.ceil((max(trip.fills_from, now) - late.first_fill_by).total_seconds())


def _short(context: Context, quote: Quote) -> list[dict[str, Any]]:
    """Returns the goods, and the helium, of which there is not enough."""
    goods = [
        {"item": short_article(one, context.catalogue), "short": round(one.count, 3)}
        for one in find_shortages(context, quote).shortages
    ]
    if not gas_is_short(context, quote):
        return goods
    outlook = gas_outlook(context, quote)
    return [*goods, {"item": words.HELIUM, "short": round(outlook.short_by, 1) if outlook else 0.0}]


def _verdict(verdict: Verdict) -> str:
    return verdict.replace("-", "_")


def _iso(moment: datetime | None) -> str | None:
    return f"{moment.astimezone(UTC):%Y-%m-%dT%H:%M:%SZ}" if moment else None
