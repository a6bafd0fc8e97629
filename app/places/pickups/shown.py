"""Pick-ups: one hand-over as the page shows it, with its check list."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from app.actions.orders.hand_over import steps_of
from app.actions.records.open_work import work_key
from app.places.pickups.later import AskedLater
from app.places.pickups.waiting import show_wait
from app.planning.window import Verdict
from app.quoting.journey import SetUpTrip, set_up_trip_of
from app.quoting.request import HandOver
from app.quoting.states import HandOverStep, OrderPart
from app.store.queries.bench import BoardRow
from app.store.queries.pickup_rows import PickupRow, StepTap
from app.store.queries.plan import SavedDelay
from app.web.batch_view import show_batch, verdict_now
from app.web.cylinder_actions import VenueHelium
from app.web.pickup_state import PickupState, state_of_pickup, state_words
from app.web.requests import request_context
from app.web.wording.bill import balance_of_row, balance_words
from app.web.wording.late_collection import ShownWait
from app.web.wording.loading import LoadGroup, loading_list
from app.web.wording.orders import person_name
from app.web.wording.outcome import float_verdict_words
from app.web.wording.outdoors import weights_to_hang
from app.web.wording.pickups import to_do_words
from app.web.wording.plan import PlanWords

STEP_WORDS = {
    HandOverStep.PACKED: "Packed",
    HandOverStep.DRY: "Dry",
    HandOverStep.ASSEMBLED: "Assembled",
    HandOverStep.WEIGHTED: "Weighted",
    HandOverStep.BAGGED: "Bagged",
    HandOverStep.READY: "Ready",
    HandOverStep.CAUTIONED: "Caution given",
    HandOverStep.ON_ACCOUNT: "On account",
}
AT_VENUE = {HandOverStep.READY: "Hung"}
PAID = "paid"
CAUTION = "Never inhale helium, never let balloons go, keep them from small children."


@dataclass(frozen=True, slots=True)
class ShownCheck:
    """One thing to tick. step: of the hand-over, or PAID. when, who: of the tick; empty until there is one. tap_id:
    what its undo undoes; None if it is not undone here. note: what to know before it is ticked."""

    step: str
    word: str
    is_done: bool = False
    when: str = ""
    who: str = ""
    tap_id: int | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class ShownPickup:
    """delay, late_words: why it cannot be ready in time, and when it would be. finishing_from: when its finishing
    starts. verdict, float_words: how long it lasts now; in words only if that is not safe as promised. money,
    balance_words: how its money stands, as a state and in words. unpaid: what is still to pay, empty if nothing is.
    checks: what can be ticked now or is; empty while its balloons are filled. handed: the tick of
    the hand-over. wait: what waiting does to it. load: what a crew or a driver loads. to_do: what is still to do
    before it leaves. time_reasons: why it is filled when it is, in sentences, by balloon type; empty once it has
    gone."""

    row: PickupRow
    state: PickupState
    state_word: str
    delay: SavedDelay | None
    late_words: str
    verdict: Verdict
    float_words: str
    finishing_from: str
    money: str
    balance_words: str
    unpaid: str
    checks: tuple[ShownCheck, ...]
    handed: ShownCheck | None
    dry_at: datetime | None
    wait: ShownWait | None
    set_up: SetUpTrip | None
    load: tuple[LoadGroup, ...]
    to_do: str
    time_reasons: tuple[tuple[str, tuple[str, ...]], ...]

    @property
    def key(self) -> str:
        """What tells its parts of the page from those of others: “1001”, “1001-later”."""
        return key_of(self.row)

    @property
    def leaves_by(self) -> datetime:
        """When it leaves; with a crew that sets up, when the crew does."""
        return self.set_up.leaves_at if self.set_up else self.row.leaves_at

    @property
    def is_owed(self) -> bool:
        """Whether it is still to be paid at the door."""
        return bool(self.unpaid) and self.money != HandOverStep.ON_ACCOUNT

    @property
    def waits_for_us(self) -> bool:
        """Whether the shop has something to do before the customer or the driver can have it."""
        return self.state not in (PickupState.READY, PickupState.NOT_COLLECTED, PickupState.GONE)


def key_of(row: PickupRow) -> str:
    """Returns what tells the parts of the page about a hand-over from those of others: “1001”, “1001-later”."""
    return f"{row.number}{'-later' if row.part is OrderPart.LATER else ''}"


def show_pickup(
    row: PickupRow,
    plan: PlanWords,
    batches: Sequence[BoardRow],
    along: VenueHelium | None,
    later: AskedLater,
) -> ShownPickup:
    """Returns a hand-over as the page shows it. batches: those of a hand-over that has not left. along: the helium
    that goes to the venue. later: what is asked about a later collection."""
    here, order = request_context(), work_key(row.number, row.part)
    state, balance = state_of_pickup(row, here.now), balance_of_row(row)
    unpaid = here.formats.money(row.due_minor) if row.due_minor > 0 else ""
    is_on_account = bool(unpaid) and row.has_step(HandOverStep.ON_ACCOUNT)
    set_up, checks = set_up_trip_of_row(row), _checks(row, unpaid)
    verdict = verdict_now(row.verdict, row.state, batches, here.shop)
    return ShownPickup(
        row=row,
        state=state,
        state_word=state_words(row, state),
        delay=None if row.is_gone else plan.delays.get(order),
        late_words="" if row.is_gone else plan.late(order),
        finishing_from="" if row.is_gone else plan.finish(order),
        verdict=verdict,
        float_words=_float_words(row, batches, verdict),
        money=HandOverStep.ON_ACCOUNT if is_on_account else balance.state,
        balance_words=f"on account {unpaid}" if is_on_account else balance_words(balance, here.formats),
        unpaid=unpaid,
        checks=checks,
        handed=next((_tick(tap, "Handed over") for tap in row.taps if tap.act == HandOverStep.HANDED_OVER), None),
        dry_at=dry_at(row),
        wait=show_wait(row, batches, later.moment_for(key_of(row))),
        set_up=set_up,
        load=_load(row, along, unpaid, sets_up=set_up is not None),
        to_do=to_do_words(row, [one.step for one in checks if not one.is_done], unpaid),
        time_reasons=tuple(
            (one.balloon_type_name, show_batch(one, here.shop, here.formats, here.now, plan).time_reasons)
            for one in batches
        ),
    )


def _float_words(row: PickupRow, batches: Sequence[BoardRow], now: Verdict) -> str:
    """Returns how long it lasts now, and what was promised if that is something else; empty if it is safe as
    promised, or need not float any more. A part has no promise of its own."""
    ends = [batch.lasts_until for batch in batches if batch.lasts_until]
    is_over = bool(ends) and max(ends) <= request_context().now
    promised = now if row.later_at else Verdict(row.verdict)
    return "" if is_over or now is promised is Verdict.SAFE else float_verdict_words(promised, now)


def dry_at(row: PickupRow) -> datetime | None:
    """Returns when its last treated balloon is dry; None if none was treated."""
    wet = [batch.filled_at for batch in row.batches if batch.treated and batch.quantity and batch.filled_at]
    drying = timedelta(minutes=request_context().shop.work_times.drying_minutes)
    return max(wet) + drying if wet else None


def set_up_trip_of_row(row: PickupRow) -> SetUpTrip | None:
    """Returns the trip of a delivery that was sold with set-up; its crew goes with the main part."""
    if not row.set_ups or row.hand_over != HandOver.DELIVER or row.part is OrderPart.LATER or not row.arrives_at:
        return None
    usual = request_context().shop.trip
    return set_up_trip_of(row.arrives_at, row.event_start, row.travel_minutes, row.set_ups, usual)


def _checks(row: PickupRow, unpaid: str) -> tuple[ShownCheck, ...]:
    """Returns what can be ticked now: nothing once it has gone, and only the packing until all is filled."""
    if row.is_gone:
        return ()
    applies = steps_of(treated=row.treated, at_venue=row.at_venue, assembled=row.assembled, weighted=row.weighted)
    can_tick = applies[:-1] if row.all_filled else [step for step in applies if step is HandOverStep.PACKED]
    listed = steps_of(treated=True, at_venue=row.at_venue)[:-1]
    steps = [step for step in listed if step in can_tick or row.has_step(step)]
    checks = [_check(row, step) for step in steps]
    if row.all_filled:
        checks.insert(-1, _money_check(row, unpaid))
    return tuple(checks)


def _check(row: PickupRow, step: HandOverStep) -> ShownCheck:
    word = (STEP_WORDS | AT_VENUE if row.at_venue else STEP_WORDS)[step]
    tap = next((tap for tap in row.taps if tap.act == step), None)
    return _tick(tap, word) if tap else ShownCheck(step, word, note=_note(row, step))


def _tick(tap: StepTap, word: str) -> ShownCheck:
    here = request_context()
    when = here.formats.short_moment(tap.at, here.formats.local(here.now).date())
    return ShownCheck(tap.act, word, True, when, person_name(tap.who), tap.id)


def _note(row: PickupRow, step: HandOverStep) -> str:
    """Returns what to know before the step is ticked."""
    here, dry = request_context(), dry_at(row)
    if step is HandOverStep.DRY and dry:
        return f"from {here.formats.short_moment(dry, here.formats.local(here.now).date())}"
    if step is HandOverStep.CAUTIONED:
        return CAUTION
    weights = weights_to_hang(row, here.formats) if step is HandOverStep.WEIGHTED else ""
    return f"outdoors at least {weights}" if weights else ""


def _money_check(row: PickupRow, unpaid: str) -> ShownCheck:
    """Returns how it is paid: paid, on account, or still to pay."""
    here = request_context()
    if not unpaid:
        at, who = row.payments[-1] if row.payments else (None, "")
        when = here.formats.short_moment(at, here.formats.local(here.now).date()) if at else ""
        return ShownCheck(PAID, "Paid", True, when, person_name(who) if who else "")
    account = next((tap for tap in row.taps if tap.act == HandOverStep.ON_ACCOUNT), None)
    return _tick(account, f"On account: {unpaid}") if account else ShownCheck(PAID, f"{unpaid} to pay")


def _load(row: PickupRow, along: VenueHelium | None, unpaid: str, *, sets_up: bool) -> tuple[LoadGroup, ...]:
    if row.is_gone or row.hand_over == HandOver.COLLECT:
        return ()
    names = [cylinder.name for cylinder in along.cylinders] if along else []
    return loading_list(row, names, along.needed if along else "", unpaid, sets_up=sets_up)
