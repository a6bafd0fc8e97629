"""This module words what a change of the shop does to open orders."""

from collections.abc import Iterable

from app.actions.shop.office import WorseOrder
from app.planning.window import Verdict

LATE = "can no longer be ready in time"
NOW = {Verdict.RISKY: "is now risky", Verdict.WONT_LAST: "now won't last"}


def recalculated_sentences(done: str, worse: Iterable[WorseOrder]) -> tuple[str, ...]:
    """Returns that the change was made and the open orders recalculated, then one sentence for each order that got
    worse. done: the sentence about the change."""
    return (f"{done} All open orders recalculated.", *map(worse_sentence, worse))


def worse_sentence(order: WorseOrder) -> str:
    """Returns what is now wrong with an order, and that the customer must be called."""
    if order.refusal:
        return f"Order {order.number} can no longer be made: call the customer. {order.refusal}"
    wrong = [NOW[order.now]] if order.now.rank > order.before.rank else []
    wrong += [LATE] if order.became_late else []
    return f"Order {order.number} {' and '.join(wrong)}: call the customer."
