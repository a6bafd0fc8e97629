"""Cylinder readings: saved once however often the form arrives, and undone if they were wrong."""

from dataclasses import dataclass

from sqlalchemy.orm import Session

from app.actions.context import Context
from app.actions.errors import NotFound
from app.actions.gas.cylinders import load_cylinder
from app.actions.records.history import touch_board, write_history
from app.actions.records.idempotency import save_once
from app.craft.gas import HIGHEST_BAR, PressureReading, share_left
from app.quoting.errors import Problem, Refused
from app.quoting.states import CylinderState
from app.store.models import Cylinder, CylinderReading, Order
from app.store.queries.gas import latest_reading, reading_is_known

MAX_SHARE_OF_FULL = 1.15
"""A correct gauge shows at most this many times the full pressure at that temperature. From memory."""
GAUGE_STEP_BAR = 2.0
"""The smallest difference that can be read on a gauge, in bar. From memory."""
MAX_APPARENT_GROWTH = 1.10
"""The factor by which the gas in a cylinder may seem to grow, because its temperature was guessed. From memory."""


@dataclass(frozen=True, slots=True)
class StateAfter:
    """The state of a cylinder from a reading on."""

    state: CylinderState
    order_id: int | None = None


def add_reading(
    context: Context,
    cylinder_id: int,
    gauge: PressureReading,
    client_key: str,
    *,
    sure: bool = False,
) -> Cylinder:
    """Saves what the gauge shows. sure: it really shows more than before. Raises NotFound, and Refused if the gauge
    cannot show that."""
    row = load_cylinder(context.session, cylinder_id, to_change=True)
    if not reading_is_known(context.session, client_key):
        if row.state == CylinderState.GONE_BACK:
            raise Refused(Problem("bar", f"{row.name} was returned to the supplier. It cannot be read any more."))
        then = StateAfter(CylinderState(row.state), row.order_id)
        save_reading(context, row, gauge, client_key, then, sure=sure)
    return row


def save_reading(
    context: Context,
    row: Cylinder,
    gauge: PressureReading,
    client_key: str,
    then: StateAfter,
    *,
    sure: bool = False,
) -> None:
    """Saves a reading and the state of the cylinder from then on; a key that is saved already changes nothing.

    Raises Refused, with a question unless sure.
    """
    _refuse_too_much(row, gauge)
    if not sure:
        _ask_about_more(gauge, latest_reading(context.session, row.id))
    read = {"bar": gauge.bar, "celsius": gauge.celsius, "state": then.state, "order_id": then.order_id}
    reading = CylinderReading(client_key=client_key, cylinder_id=row.id, at=context.now, who=context.who, **read)
    if save_once(context.session, reading) is not reading:
        return
    row.state, row.order_id = then.state, then.order_id
    context.session.flush()


def undo_reading(context: Context, cylinder_id: int, reading_id: int) -> Cylinder:
    """Undoes a reading: the cylinder is again in the state of the reading before, unless it was moved without a
    reading since.

    A second undo of the same reading changes nothing. Raises NotFound.
    """
    row = load_cylinder(context.session, cylinder_id, to_change=True)
    reading = context.session.get(CylinderReading, reading_id, populate_existing=True)
    if reading is None or reading.cylinder_id != row.id:
        raise NotFound("There is no such reading to undo.")
    if reading.undone_at is None:
        latest = latest_reading(context.session, row.id)
        reading.undone_at, reading.undone_by = context.now, context.who
        context.session.flush()
        if latest is reading and (row.state, row.order_id) == (reading.state, reading.order_id):
            _put_back(context, row)
    return row


def _put_back(context: Context, row: Cylinder) -> None:
    """Returns the cylinder to the state of its latest reading; without one, to the state in which it was
    delivered."""
    before, was_along = latest_reading(context.session, row.id), row.order_id
    row.state, row.order_id = (before.state, before.order_id) if before else (CylinderState.FULL, None)
    context.session.flush()
    if row.order_id != was_along:
        _record_move(context, row, was_along)


def _record_move(context: Context, row: Cylinder, was_along: int | None) -> None:
    """Records in the orders' histories that the cylinder no longer goes along, or goes along again."""
    for order_id, act in ((was_along, "does not go to the venue"), (row.order_id, "goes to the venue again")):
        if order_id is not None:
            write_history(context, context.session.get_one(Order, order_id), f"cylinder {row.name} {act}", [])
    touch_board(context.session)


def full_gauge(row: Cylinder, celsius: float) -> PressureReading:
    """Returns what the gauge of a full cylinder shows at that temperature."""
    try:
        return PressureReading(row.full_bar).at(celsius)
    except ValueError:
        return PressureReading(HIGHEST_BAR, celsius)


def last_gauge(session: Session, row: Cylinder) -> PressureReading:
    """Returns what its gauge showed last; full if it was never read."""
    read = latest_reading(session, row.id)
    return PressureReading(read.bar, read.celsius) if read else PressureReading(row.full_bar)


def _ask_about_more(gauge: PressureReading, read: CylinderReading | None) -> None:
    """Raises Refused with a question if the cylinder seems to hold more than before.

    What it holds is compared, not the pressure: a cylinder that came from the cold may show more once it is warm.
    """
    if read is None:
        return
    before = PressureReading(read.bar, read.celsius)
    if gauge.bar - before.bar > GAUGE_STEP_BAR and share_left(before, gauge) > MAX_APPARENT_GROWTH:
        sentence = f"The last reading was {before.bar:.0f} bar. Is {gauge.bar:.0f} bar right?"
        raise Refused(Problem("sure", sentence))


def _refuse_too_much(row: Cylinder, gauge: PressureReading) -> None:
    """Raises Refused for more than a full cylinder can show."""
    full = full_gauge(row, gauge.celsius).bar
    if gauge.bar > full * MAX_SHARE_OF_FULL:
        sentence = (
            f"{row.name} shows {full:.0f} bar when it is full, so {gauge.bar:.0f} bar is too much."
            " Check the gauge. For psi, add the unit."
        )
        raise Refused(Problem("bar", sentence))
