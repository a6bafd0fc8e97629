"""After a change of the shop: work out all open orders, and say so."""

from flask import flash

from app.actions.shop.office import replan_open_orders
from app.web.requests import request_context


def replan(done: str) -> None:
    worse = replan_open_orders(request_context().context)
    flash(f"{done} All open orders were worked out anew.")
    for number, why in worse:
        flash(f"Order {number} is promised worse now, ring the customer: {why}")
