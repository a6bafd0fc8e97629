"""Counter: the page of one order, and its confirmation."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from flask import Blueprint, render_template, request

from app.actions.bench.build_sheets import OrderLineSheet, has_sheet, sheets_of_lines
from app.actions.errors import NotFound
from app.actions.orders.cancel_loss import loss_if_cancelled
from app.actions.photos.photos import is_finished
from app.actions.records.history import history_of
from app.actions.records.orders import load_order
from app.actions.records.rebuild_request import rebuild_request
from app.places.counter.cancel_form import CancelForm, cancel_form_of
from app.places.counter.order_now import order_now, ready_line
from app.places.counter.payment_form import PaymentForm, show_money
from app.planning.shoptime import local_day
from app.quoting.journey import trip_of
from app.quoting.request import HandOver
from app.quoting.states import HandOverStep, OrderState
from app.store.models import HistoryEntry, Order, OrderLine, Photo, Tap
from app.store.queries.counter import order_taps
from app.store.queries.order_batches import batches_of_order
from app.store.queries.photos import photos_of_order
from app.store.queries.progress import progress_of_order
from app.store.queries.rentals import rentals_of_order
from app.web.batch_view import BoardBatch, show_batch
from app.web.cylinder_actions import CylinderActionForm, VenueHelium, cylinder_action_forms, load_venue_helium
from app.web.drawings.build_sheet import show_sheet
from app.web.forms import ShopForm, TextField, max_length, read_id
from app.web.htmx import new_key
from app.web.photos import PhotosForm
from app.web.requests import request_context
from app.web.wording.allergy import warn_of_order
from app.web.wording.caller import caller_summary
from app.web.wording.cancelling import loss_sentences
from app.web.wording.order_state import is_event_over
from app.web.wording.orders import (
    confirmation_times,
    hand_over_words,
    is_set_up_early,
)
from app.web.wording.outdoors import advise_order, weights_of_designs, weights_of_singles
from app.web.wording.plan import PlanWords


class ReopenForm(ShopForm):
    """The reasons to reopen a cancelled order."""

    bench_override = TextField("Reason for accepting it anyway: bench", [max_length(300, "A reason takes")])
    stock_override = TextField("Reason for accepting it anyway: stock", [max_length(300, "A reason takes")])


def register(counter: Blueprint) -> None:
    """Registers the pages of an order."""
    counter.get("/orders/<int:number>")(show)
    counter.get("/orders/<int:number>/confirmation")(confirmation)


def show(number: int) -> str:
    """Shows the order."""
    return order_page(number)


def confirmation(number: int) -> str:
    """Shows the confirmation, which goes along with the balloons, with its cautions."""
    order = load_order(request_context().session, number)
    return render_template("counter/confirmation.html", **confirmation_values(order))


def confirmation_values(order: Order) -> dict[str, Any]:
    """Returns what the template of the confirmation needs."""
    here = request_context()
    times = tuple(confirmation_times(order, here.formats))
    shown = {"order": order, "times": times, "issued": here.now}
    return shown | {"money": show_money(order), "allergy": warn_of_order(order)}


def order_page(
    number: int,
    reopening: ReopenForm | None = None,
    paying: PaymentForm | None = None,
    pressing: CylinderActionForm | None = None,
    photographing: PhotosForm | None = None,
    cancelling: CancelForm | None = None,
) -> str:
    """Returns the page of an order.

    reopening: the form that asks why it is reopened although the bench cannot make it in time or something is
    short. paying: the payment that could not be saved, and why. pressing: the same for a cylinder. photographing:
    why no photo was added. cancelling: the cancellation that could not be saved, and why.
    """
    here = request_context()
    order = load_order(here.session, number)
    rows = batches_of_order(here.session, order.id)
    plan = PlanWords.of(here.plan, here.formats, local_day(here.now, here.formats.zone))
    weights = weights_of_singles(order, rows, here.formats)
    batches = [
        replace(show_batch(row, here.shop, here.formats, here.now, plan), weight=weights.get(row.key, ""))
        for row in rows
    ]
    progress = progress_of_order(here.session, order.id)
    now = order_now(order, progress, rows, plan)
    history, as_of = history_of(here.session, order), request.args.get("as_of")
    money = show_money(order, paying)
    then = next((entry for entry in history if entry.id == read_id(as_of)), None)
    if as_of and then is None:
        raise NotFound(f"The history of order {number} has no entry with this number.")
    return render_template(
        "counter/order.html",
        order=order,
        lines=[(line, colours_of_line(line)) for line in order.lines],
        then=then,
        progress=progress,
        reopening=reopening,
        cancel_loss=_cancel_loss(order),
        cancelling=cancelling or cancel_form_of(order, here.shop.pricing, here.formats),
        money=money,
        photographed=show_photos(order, photographing),
        leaves=hand_over_words(order, here.formats),
        set_up_early=is_set_up_early(order),
        caller_summary=caller_summary(order, money.account.balance, here.formats, now),
        now=now,
        is_event_over=is_event_over(order, here.now),
        allergy=warn_of_order(order),
        trip=trip_of(rebuild_request(order)),
        rentals=rentals_of_order(here.session, number) if order.rentals or order.take_down_at else None,
        along=_along(order),
        cylinder_action_form=cylinder_action_forms(pressing),
        gas_key=new_key,
        outdoor_advice=advise_order(order, rows, here.shop, here.formats),
        design_weights=weights_of_designs(order, rows, here.formats),
        ready=ready_line(order, rows, plan, now),
        worst_batch=None if now.is_too_late(order.lasts_until) else _worst(order, batches),
        was_started_early=any(batch.was_started_early for batch in batches),
        batches=batches,
        sheets=[show_sheet(one.sheet, here.formats) for one in _sheet(order)],
        history=history,
        batch_keys={batch.id: batch.key for batch in order.batches},
        history_with_taps=_history_with_taps(history, order_taps(here.session, order.id)),
    )


def colours_of_line(line: OrderLine) -> list[tuple[str, int]]:
    """Returns the colours of a line's balloons with their numbers, the most frequent first."""
    counts: dict[str, int] = {}
    for part in line.parts:
        for name, count in part["colours"]:
            counts[name] = counts.get(name, 0) + count
    return sorted(((name, count) for name, count in counts.items() if name), key=lambda one: -one[1])


def _worst(order: Order, batches: Sequence[BoardBatch]) -> BoardBatch | None:
    """Returns the batch of an open order that is least likely to float to the end; None if there is no end, or if
    it was not made."""
    if order.state != OrderState.OPEN or order.not_made_at or order.lasts_until is None:
        return None
    return min(batches, key=lambda batch: (-batch.verdict.rank, batch.row.chance), default=None)


def _cancel_loss(order: Order) -> tuple[str, ...]:
    """Returns what cancelling an open order now would lose, and what goes back to stock; nothing before it is
    filled."""
    here = request_context()
    loss = loss_if_cancelled(order, here.shop, here.catalogue) if order.state == OrderState.OPEN else None
    return loss_sentences(loss, here.formats) if loss else ()


def _along(order: Order) -> VenueHelium | None:
    """Returns the cylinders of an order that a crew fills; once it is done, those that are not back."""
    if order.hand_over != HandOver.VENUE:
        return None
    found = load_venue_helium([order.id]).get(order.id)
    return found if found and (order.state == OrderState.OPEN or found.cylinders) else None


def _sheet(order: Order) -> tuple[OrderLineSheet, ...]:
    """Returns the build sheets of the order."""
    return sheets_of_lines(order, request_context().shop, request_context().catalogue) if has_sheet(order) else ()


def _history_with_taps(history: list[HistoryEntry], taps: list[Tap]) -> list[HistoryEntry | Tap]:
    """Returns all that happened to an order, in order of time; a hand-over is in its history already."""
    steps = [tap for tap in taps if tap.act != HandOverStep.HANDED_OVER or tap.undone_at]
    return sorted([*history, *steps], key=_sort_key)


def _sort_key(entry: HistoryEntry | Tap) -> tuple[datetime, int]:
    """Returns a sort key. Within one second: changes, taps, the hand-over, and last what was undone, cancelled
    or reopened."""
    if "undone" in entry.act or entry.act in ("cancelled", "reopened"):
        return entry.at, 3
    if entry.act.startswith(HandOverStep.HANDED_OVER):
        return entry.at, 2
    return entry.at, 1 if isinstance(entry, Tap) else 0


@dataclass(frozen=True, slots=True)
class ShownPhotos:
    """The photos of an order. designs: names of the designs that were made from them, by id. form: has the
    problems of photos that could not be added."""

    photos: Sequence[Photo]
    may_add: bool
    designs: Mapping[int, str]
    key: str
    form: PhotosForm


def show_photos(order: Order, refused: PhotosForm | None) -> ShownPhotos:
    """Returns the photos of the order. refused: the form of photos that could not be added."""
    here = request_context()
    photos = photos_of_order(here.session, order.id)
    made = {photo.design_id for photo in photos if photo.design_id}
    names = {design_id: here.catalogue.designs[design_id].name for design_id in made}
    return ShownPhotos(photos, is_finished(here.session, order), names, new_key(), refused or PhotosForm())
