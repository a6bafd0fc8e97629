"""The rows of the pick-ups: a hand-over with its lines, batches, steps and payments."""

from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

from app.physics.balloon import Gas
from app.physics.material import Material
from app.quoting.request import HandOver
from app.quoting.states import HandOverStep, OrderPart, OrderState


@dataclass(frozen=True, slots=True)
class BatchProgress:
    """How far one batch of a hand-over has come."""

    key: str
    balloon_type_name: str
    quantity: int
    spares: int
    material: Material
    colours: list[tuple[str, int]]
    filled: int
    filled_at: datetime | None
    started_at: datetime | None
    treated: bool
    hung_g: float
    balloon_type_id: int
    gas: str
    weight_g: float | None


@dataclass(frozen=True, slots=True)
class PickupLine:
    """What one hand-over has of a line: “3 × Sea bouquet”, and the names of its colours. is_design: whether it is
    put together."""

    text: str
    colours: tuple[str, ...]
    is_design: bool


@dataclass(frozen=True, slots=True)
class StepTap:
    """A step that was ticked and stands."""

    id: int
    act: str
    at: datetime
    who: str


@dataclass(frozen=True, slots=True)
class PickupRow:
    """One hand-over: of an order without a later part, of the main part of one that has it, or of its later part.

    due_minor: what is still to pay for the whole order, security deposits included; below 0, it is to be
    paid back.
    """

    id: int
    number: int
    customer: str
    phone: str
    ready_by: datetime
    later_at: datetime | None
    hand_over: HandOver
    arrives_at: datetime | None
    travel_minutes: int
    set_up_minutes: int
    hanging_minutes: int
    crew: int
    address: str
    event_start: datetime | None
    state: OrderState
    not_made_at: datetime | None
    parts_gone: int
    verdict: str
    notes: str
    holding_place: str | None
    later_holding_place: str | None
    total_minor: int
    due_minor: int
    paid_minor: int
    cancel_fee_minor: int
    set_ups: int
    part: OrderPart = OrderPart.MAIN
    lines: list[PickupLine] = field(default_factory=list)
    sold_lines: list[tuple[str, int, Any]] = field(default_factory=list)
    """title, quantity and parts of each line."""
    batches: list[BatchProgress] = field(default_factory=list)
    taps: list[StepTap] = field(default_factory=list)
    """Oldest first."""
    payments: list[tuple[datetime, str]] = field(default_factory=list)
    """When and who saved it: those of the whole order that stand, oldest first."""
    rentals: list[tuple[str, int]] = field(default_factory=list)
    """Name and number of what is lent with the order; it goes with the main part."""

    @property
    def security_minor(self) -> int:
        """What is to pay on top of the price: the security deposits of what is lent; 0 if the order owes only a
        fee."""
        owes_only_fee = self.state == OrderState.CANCELLED or self.not_made_at
        return 0 if owes_only_fee else max(self.due_minor + self.paid_minor - self.total_minor, 0)

    @property
    def leaves_at(self) -> datetime:
        return self.later_at if self.part is OrderPart.LATER and self.later_at else self.ready_by

    @property
    def place(self) -> str:
        """Where in the holding area this part stands; empty if nobody said it."""
        return (self.later_holding_place if self.part is OrderPart.LATER else self.holding_place) or ""

    @property
    def arrival_at(self) -> datetime | None:
        """When a delivery arrives, or when a crew can enter."""
        if self.at_venue:
            return self.arrives_at
        return self.leaves_at + timedelta(minutes=self.travel_minutes) if self.arrives_at else None

    @property
    def back_at(self) -> datetime | None:
        """When a crew is back: everything hangs when the event begins, and then it drives home."""
        back = self.event_start + timedelta(minutes=self.travel_minutes) if self.event_start else None
        return back if self.at_venue else None

    @property
    def at_venue(self) -> bool:
        return self.hand_over == HandOver.VENUE

    @property
    def gone_at(self) -> datetime | None:
        """When it was handed over."""
        return next((tap.at for tap in self.taps if tap.act == HandOverStep.HANDED_OVER), None)

    @property
    def is_gone(self) -> bool:
        return self.gone_at is not None

    def has_step(self, step: HandOverStep) -> bool:
        """Returns whether this step is ticked."""
        return any(tap.act == step for tap in self.taps)

    @property
    def assembled(self) -> bool:
        """Whether something of it is put together."""
        return any(line.is_design for line in self.lines)

    @property
    def weighted(self) -> bool:
        """Whether balloons with helium are in it, which need weights."""
        return any(batch.gas == Gas.HELIUM and batch.quantity for batch in self.batches)

    @property
    def treated(self) -> bool:
        return any(batch.treated and batch.quantity for batch in self.batches)

    @property
    def filled(self) -> int:
        return sum(min(batch.filled, batch.quantity) for batch in self.batches)

    @property
    def quantity(self) -> int:
        return sum(batch.quantity for batch in self.batches)

    @property
    def all_filled(self) -> bool:
        return all(batch.filled_at for batch in self.batches if batch.quantity)
