"""Filled balloons that a changed order no longer needs, and what becomes of them."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from app.actions.context import Context
from app.actions.records.batches import spec_of
from app.actions.records.descriptions import Changes
from app.actions.records.taps import save_tap
from app.quoting.errors import Problem, Refused
from app.quoting.parts import match_commitments
from app.quoting.quote import Quote
from app.quoting.states import FilledFate, TapAction
from app.store.models import Order, OrderBatch, Tap

NO_FATE = Problem("surplus", "More balloons are filled than the order now needs. Choose what becomes of them.")

FATE_WORDS = {
    FilledFate.SPARES: "kept as spares",
    FilledFate.STOCK: "put back in stock",
    FilledFate.LOST: "counted as lost",
}


@dataclass(frozen=True, slots=True)
class Surplus:
    """count: how many filled balloons of the batch a change leaves over. wanted: how many the order needs then.
    colours: the count by colour."""

    batch: OrderBatch
    filled: int
    wanted: int
    count: int
    colours: tuple[tuple[str, int], ...]


def find_surplus(order: Order, quote: Quote) -> tuple[Surplus, ...]:
    """Returns what the change to the quote leaves over, before it is made; not what was left over before."""
    fills = {plan.fill.spec: plan.fill for plan in quote.batches}
    matched = match_commitments({spec_of(batch): batch for batch in order.batches}, [*fills])
    found = []
    for spec, batch in matched.items():
        fill = fills.get(spec)
        wanted, colours = (fill.quantity, fill.colours) if fill else (0, ())
        count = max(0, batch.filled - wanted) - max(0, batch.filled - batch.quantity)
        if count > 0:
            left_over = tuple(_left_over(batch.colours, colours, count))
            found.append(Surplus(batch, batch.filled, wanted, count, left_over))
    return tuple(found)


def _left_over(
    was: Iterable[Sequence[str | int]], wanted: Iterable[tuple[str, int]], count: int
) -> Iterator[tuple[str, int]]:
    """Yields the count by colour: first those that are no longer wanted, the rest in the batch's own order."""
    needed, had = dict(wanted), {str(colour): int(number) for colour, number in was}
    gone = {colour: max(0, number - needed.get(colour, 0)) for colour, number in had.items()}
    left = count
    for share in (gone, {colour: had[colour] - gone[colour] for colour in had}):
        for colour, number in share.items():
            if taken := min(number, left):
                yield colour, taken
                left -= taken


def refuse_surplus(surplus: Sequence[Surplus], fate: FilledFate | None) -> None:
    """Raises Refused if balloons are left over and nobody chose what becomes of them."""
    if surplus and fate is None:
        raise Refused(NO_FATE)


def save_fate(context: Context, order: Order, surplus: Sequence[Surplus], fate: FilledFate | None) -> Changes:
    """Saves what becomes of the balloons that are left over, as taps of their batches, and returns it for the
    history. Spares need no tap: they stay filled."""
    act = {FilledFate.STOCK: TapAction.PUT_BACK, FilledFate.LOST: TapAction.LOSE}.get(fate) if fate else None
    for one in surplus if act else ():
        for colour, count in one.colours:
            key = f"change {order.id} {order.version} {one.batch.id} {colour}"
            tap = Tap(client_key=key, order_id=order.id, batch_id=one.batch.id, act=act, part=one.batch.part)
            tap.colour, tap.count, tap.at, tap.who = colour, count, context.now, context.who
            save_tap(context.session, tap)
    return [
        (f"filled of {one.batch.key}", str(one.filled), f"{one.filled - one.count}, {one.count} {FATE_WORDS[fate]}")
        for one in surplus
        if fate
    ]
