"""The press that says why an order was late or not made, on every page that asks."""

from flask import request

from app.actions.orders.late_reason import save_late_reason, undo_late_reason
from app.quoting.errors import Problem, Refused
from app.quoting.states import LateReason
from app.web.requests import request_context
from app.web.wording.forms import PAGE_OUT_OF_DATE


def press_late_reason(number: int) -> None:
    """Saves the reason that was pressed; a press without one takes it back. Raises NotFound, Refused."""
    context, pressed = request_context().context, request.form.get("reason", "")
    if not pressed:
        undo_late_reason(context, number)
        return
    try:
        reason = LateReason(pressed)
    except ValueError:
        raise Refused(Problem("reason", PAGE_OUT_OF_DATE)) from None
    save_late_reason(context, number, reason)
