"""This module says what a cancellation loses and what stays in stock."""

from collections.abc import Sequence

from app.actions.orders.cancel_loss import CancelLoss
from app.web.formats import Formats
from app.web.wording.gas import litres


def loss_sentences(loss: CancelLoss, formats: Formats) -> tuple[str, ...]:
    """Returns what is lost, with the helium in it, and what goes back to stock."""
    said = []
    if loss.lost:
        helium = f", with {litres(loss.litres, formats)} of helium" if loss.litres >= 1 else ""
        said.append(f"Lost, because they are filled: {_counted(loss.lost)}{helium}.")
    elif loss.litres >= 1:
        said.append(f"Lost: {litres(loss.litres, formats)} of helium in the customer's own balloons.")
    back = [_counted(loss.kept)] if loss.kept else []
    back += ["its weights, ribbon and other supplies"] if loss.has_supplies else []
    if back:
        said.append(f"Back to stock: {', and '.join(back)}.")
    return tuple(said)


def _counted(goods: Sequence[tuple[str, int]]) -> str:
    """Returns numbers and names: “24 × 11 in latex, 1 × 18 in foil”."""
    return ", ".join(f"{count} × {name}" for name, count in goods)
