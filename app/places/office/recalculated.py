"""Recalculates all open orders after a change of the shop, and says which of them got worse."""

from flask import flash

from app.actions.shop.office import replan_open_orders
from app.web.requests import request_context
from app.web.wording.recalculated import recalculated_sentences


def replan(done: str) -> None:
    """Recalculates all open orders. done: the sentence about the change itself."""
    here = request_context()
    for sentence in recalculated_sentences(done, replan_open_orders(here.context)):
        flash(here.formats.in_shop_units(sentence))
