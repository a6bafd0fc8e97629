"""What speaks against a step of a hand-over. Whoever taps it is asked first, and may take it anyway."""

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from app.actions.context import Context
from app.actions.gas.venue import load_gas_along
from app.actions.money.account import load_account
from app.actions.records.descriptions import Changes, HistoryFormats
from app.actions.records.taps import active_taps
from app.craft.money import typed_amount
from app.physics.balloon import Gas
from app.quoting.errors import Problem, Refused
from app.quoting.states import HandOverStep, OrderPart
from app.store.models import Order


class ConcernKind(StrEnum):
    """WET: treated balloons are not dry yet. UNDRIED: they should be dry, but nobody has looked. UNWEIGHTED: nobody
    has said that the balloons with helium have their weights. NO_GAS: the crew has too little helium. UNPAID:
    something is still to pay, and not on account."""

    WET = "wet"
    UNDRIED = "undried"
    UNWEIGHTED = "unweighted"
    NO_GAS = "no-gas"
    UNPAID = "unpaid"


@dataclass(frozen=True, slots=True)
class Concern:
    """Why a step should wait. dry_at: of WET. needed, held: litres of NO_GAS. due_minor: of UNPAID."""

    kind: ConcernKind
    step: HandOverStep
    dry_at: datetime | None = None
    needed: float = 0.0
    held: float = 0.0
    due_minor: int = 0


class StepAsked(Refused):
    """Something speaks against the step; it is saved only when somebody is sure of each of the concerns."""

    def __init__(self, concerns: tuple[Concern, ...]) -> None:
        super().__init__(Problem("sure", "Something speaks against this step."))
        self.concerns = concerns


def find_concerns(context: Context, order: Order, step: HandOverStep, part: OrderPart) -> tuple[Concern, ...]:
    """Returns what speaks against taking the step now; nothing if all is well."""
    return tuple(_concerns(context, order, step, part))


def refuse_unless_sure(concerns: Collection[Concern], sure: Collection[ConcernKind]) -> None:
    """Raises StepAsked with all concerns unless somebody is sure of each."""
    if any(one.kind not in sure for one in concerns):
        raise StepAsked(tuple(concerns))


def _concerns(context: Context, order: Order, step: HandOverStep, part: OrderPart) -> Iterator[Concern]:
    """Yields each concern about the step."""
    if step is HandOverStep.PACKED:
        along = load_gas_along(context, [order.id]).get(order.id)
        if along and not along.is_enough:
            yield Concern(ConcernKind.NO_GAS, step, needed=along.needed, held=along.held)
    dry_at = _dry_at(context, order, part)
    if step is HandOverStep.DRY and dry_at and context.now < dry_at:
        yield Concern(ConcernKind.WET, step, dry_at=dry_at)
    if step is HandOverStep.HANDED_OVER:
        yield from _concerns_at_the_door(context, order, part, dry_at)


def _concerns_at_the_door(
    context: Context, order: Order, part: OrderPart, dry_at: datetime | None
) -> Iterator[Concern]:
    """Yields what speaks against handing the part over. What was ticked is not asked about again."""
    step, taps = HandOverStep.HANDED_OVER, active_taps(context.session, order.id, None)
    ticked = {tap.act for tap in taps if tap.part is part}
    if dry_at and HandOverStep.DRY not in ticked:
        is_wet = context.now < dry_at
        yield Concern(ConcernKind.WET if is_wet else ConcernKind.UNDRIED, step, dry_at=dry_at if is_wet else None)
    if HandOverStep.WEIGHTED not in ticked and _has_helium(order, part):
        yield Concern(ConcernKind.UNWEIGHTED, step)
    due = load_account(context.session, order).due_minor
    if due > 0 and not any(tap.act == HandOverStep.ON_ACCOUNT for tap in taps):
        yield Concern(ConcernKind.UNPAID, step, due_minor=due)


def _has_helium(order: Order, part: OrderPart) -> bool:
    """Returns whether the part has balloons that need a weight."""
    return any(batch.gas == Gas.HELIUM and batch.quantity and batch.part is part for batch in order.batches)


def _dry_at(context: Context, order: Order, part: OrderPart) -> datetime | None:
    """Returns when the last treated balloon of the part is dry; None if none was treated."""
    filled = [
        batch.filled_at
        for batch in order.batches
        if batch.treated and batch.quantity and batch.part is part and batch.filled_at
    ]
    return max(filled) + timedelta(minutes=context.shop.work_times.drying_minutes) if filled else None


ANYWAY = {
    HandOverStep.DRY: "marked dry anyway",
    HandOverStep.PACKED: "packed anyway",
    HandOverStep.HANDED_OVER: "handed over anyway",
}


def describe_concerns(context: Context, concerns: Collection[Concern]) -> Changes:
    """Returns for the history what spoke against the step that was taken anyway."""
    formats = HistoryFormats.of(context.shop)
    return [(*_described(one, formats), ANYWAY[one.step]) for one in concerns]


def _described(concern: Concern, formats: HistoryFormats) -> tuple[str, str]:
    """Returns what spoke against the step, and how much or until when."""
    if concern.dry_at:
        return "dry from", formats.moment(concern.dry_at)
    if concern.kind is ConcernKind.UNDRIED:
        return "dry", "not checked"
    if concern.kind is ConcernKind.UNWEIGHTED:
        return "weights tied on", "not checked"
    if concern.kind is ConcernKind.NO_GAS:
        return "helium", f"{concern.needed:.0f} L needed, {concern.held:.0f} L packed"
    return "still to pay", typed_amount(concern.due_minor, formats.decimals)
