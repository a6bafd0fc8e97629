"""Recalculates all open orders after a change of the shop, and says what came of it."""

from flask import flash

from app.actions.shop.office import replan_open_orders
from app.web.requests import request_context


def replan(done: str) -> None:
    """Recalculates all open orders. done: the sentence about the change itself."""
    worse = replan_open_orders(request_context().context)
    flash(f"{done} All open orders were worked out anew.")
    for number, why in worse:
        flash(f"Order {number} is promised worse now, ring the customer: {why}")
