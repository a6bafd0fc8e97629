"""Office: deliveries that were withdrawn and come after all."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from flask import Blueprint, flash, url_for
from flask.wrappers import Response

from app.actions.stock.articles import Article
from app.actions.stock.deliveries import undo_withdrawal, withdrawn_lately
from app.quoting.catalogue import Catalogue
from app.store.models import Delivery
from app.web.htmx import see_other
from app.web.requests import request_context
from app.web.wording.stock import describe_article


@dataclass(frozen=True, slots=True)
class Withdrawn:
    """A withdrawn delivery in words."""

    id: int
    name: str
    packs: int
    due_on: date


def register(office: Blueprint) -> None:
    """Registers the undoing of a withdrawal."""
    office.post("/stock/deliveries/<int:delivery_id>/back")(undo_delivery_withdrawal)


def undo_delivery_withdrawal(delivery_id: int) -> Response:
    """Records that a withdrawn delivery comes after all."""
    row = undo_withdrawal(request_context().session, delivery_id)
    flash(f"{_name(row, request_context().catalogue)} is on its way again.")
    return see_other(url_for("office.buying"))


def withdrawn(catalogue: Catalogue) -> Iterator[Withdrawn]:
    """Yields the deliveries whose withdrawal can still be undone."""
    for row in withdrawn_lately(request_context().context):
        yield Withdrawn(row.id, _name(row, catalogue), row.packs, row.due_on)


def _name(row: Delivery, catalogue: Catalogue) -> str:
    """Returns the delivery in words."""
    return describe_article(Article(row.balloon_type_id or 0, row.supply_id or 0), row.colour, catalogue)
