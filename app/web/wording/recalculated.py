"""This module words what a change of the shop does to open orders."""

from collections.abc import Sequence

from app.actions.shop.office import WorseOrder
from app.planning.window import Verdict

LATE = "can no longer be ready in time"
WOULD_BE = {Verdict.RISKY: ("becomes risky", "become risky"), Verdict.WONT_LAST: ("won't last", "won't last")}
MOST_NUMBERS = 20
"""So many orders are named; of more, only how many they are."""
CALL_THEM = "Call these customers."
NOW = {Verdict.RISKY: "is now risky", Verdict.WONT_LAST: "now won't last"}


def recalculated_sentences(done: str, worse: Sequence[WorseOrder], *, is_any_open: bool = True) -> tuple[str, ...]:
    """Returns that the change was made and the open orders recalculated, then one sentence for each order that got
    worse; of many orders, one for each way in which they did. done: the sentence about the change, which is all
    that is said if no order is open."""
    if not is_any_open:
        return (done,)
    first = f"{done} All open orders recalculated."
    if len(worse) > MOST_NUMBERS:  # each page carries what is to be said on the next one in a cookie
        return (first, *effect_sentences(worse, len(worse)), CALL_THEM)
    return (first, *map(worse_sentence, worse))


def worse_sentence(order: WorseOrder) -> str:
    """Returns what is now wrong with an order, and that the customer must be called."""
    if order.refusal:
        return f"Order {order.number} can no longer be made: call the customer. {order.refusal}"
    wrong = [NOW[order.now]] if order.now.rank > order.before.rank else []
    wrong += [LATE] if order.became_late else []
    return f"Order {order.number} {' and '.join(wrong)}: call the customer."


def effect_sentences(worse: Sequence[WorseOrder], checked: int) -> tuple[str, ...]:
    """Returns what a change would do to open orders, one sentence for each way in which orders get worse. checked:
    how many orders are open."""
    if not worse:
        return (_none_worse(checked),)
    refused = [order for order in worse if order.refusal]
    others = [order for order in worse if not order.refusal and order.now.rank > order.before.rank]
    groups = [
        *((WOULD_BE[now], [order for order in others if order.now is now]) for now in WOULD_BE),
        ((LATE, LATE), [order for order in worse if order.became_late]),
        (("can no longer be made", "can no longer be made"), refused),
    ]
    reasons = dict.fromkeys(order.refusal for order in refused)
    return (*(_how_many(*group) for group in groups if group[1]), *reasons)


def _none_worse(checked: int) -> str:
    """Returns that no open order gets worse."""
    if not checked:
        return "There are no open orders."
    if checked == 1:
        return "The open order does not get worse."
    return f"None of the {checked} open orders gets worse."


def _how_many(becomes: tuple[str, str], orders: Sequence[WorseOrder]) -> str:
    """Returns how many orders get worse in one way, with numbers: “2 open orders become risky: 1004, 1007.”"""
    count = len(orders)
    numbers = ", ".join(str(order.number) for order in orders[:MOST_NUMBERS])
    which = f"{count} open order{'s' if count != 1 else ''} {becomes[count != 1]}"
    return f"{which}: {numbers}{', …' if count > MOST_NUMBERS else ''}."
