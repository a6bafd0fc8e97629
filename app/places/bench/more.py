"""What else can be done with a batch: a row of the board asks for it when somebody opens it."""

from flask import Blueprint, Response, make_response, redirect, render_template, request, url_for

from app.actions.errors import NotFound
from app.places.bench.links import BatchLinks
from app.store.queries.bench import BoardRow
from app.store.queries.order_batches import one_batch
from app.web.batch_view import show_batch
from app.web.days import read_shop_day
from app.web.htmx import new_key, wants_part
from app.web.requests import request_context
from app.web.wording.plan import PlanWords


def register(bench: Blueprint) -> None:
    """Registers the part of the page."""
    bench.get("/bench/batches/<key>/more")(more)


def more(key: str) -> Response | str:
    """Shows what else can be done with a batch; without a script its ticket does."""
    if not wants_part():
        return make_response(redirect(url_for("bench.ticket", key=key)))
    here, row, day = request_context(), load_row(key), read_shop_day(request.args.get("day"), request_context())
    links = BatchLinks.of(None if day.is_today else day.local_date)
    plan = PlanWords.of(here.plan, here.formats, day.clock_date)
    return render_template(
        "bench/_more_to_do.html",
        batch=show_batch(row, here.shop, here.formats, here.now, plan),
        links=links,
        tapped=links.tap(key),
        new_key=new_key,
    )


def load_row(key: str) -> BoardRow:
    """Returns the batch with this key. Raises NotFound when there is none."""
    row = one_batch(request_context().session, key)
    if row is None:
        raise NotFound(f"There is no batch {key}. Its order may have changed: see the board.")
    return row
