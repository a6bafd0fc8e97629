"""The moves of a cylinder: taken into use, put away, emptied, sent back; sent along with a crew, and brought
back."""

from app.actions.context import Context
from app.actions.gas.cylinders import load_cylinder
from app.actions.gas.readings import StateAfter, last_gauge, save_reading
from app.actions.records.history import touch_board, write_history
from app.actions.records.orders import load_order
from app.craft.gas import PressureReading
from app.quoting.errors import Problem, Refused
from app.quoting.request import HandOver
from app.quoting.states import CylinderState, OrderState
from app.store.models import Cylinder, Order
from app.store.queries.gas import IN_SHOP_STATES, reading_is_known

READ_IT = Problem("bar", "Enter what its gauge shows now.")


def change_state(
    context: Context,
    cylinder_id: int,
    state: CylinderState,
    gauge: PressureReading | None,
    key: str,
    *,
    sure: bool = False,
) -> Cylinder:
    """Changes the state of a cylinder; into use and out of use only with a reading. sure: the gauge really shows
    more than before. Raises NotFound, Refused."""
    row = load_cylinder(context.session, cylinder_id, to_change=True)
    if reading_is_known(context.session, key) or row.state == state:
        return row
    if row.order_id is not None and state not in IN_SHOP_STATES:
        raise Refused(Problem("state", f"{row.name} is with a crew. Bring it back first."))
    if gauge is None and CylinderState.IN_USE in (state, row.state):
        raise Refused(READ_IT)
    if gauge is not None:
        save_reading(context, row, gauge, key, StateAfter(state, row.order_id), sure=sure)
    else:
        row.state = state
        context.session.flush()
    return row


def send_along(
    context: Context,
    cylinder_id: int,
    number: int,
    gauge: PressureReading | None,
    key: str,
    *,
    sure: bool = False,
) -> Cylinder:
    """Sends the cylinder along with an order that is filled at the venue.

    A cylinder in use goes only with a reading; another one goes with what its gauge showed last, or full. Raises
    NotFound, Refused.
    """
    order = load_order(context.session, number, to_change=True)
    row = load_cylinder(context.session, cylinder_id, to_change=True)
    if reading_is_known(context.session, key) or row.order_id == order.id:
        return row
    _refuse_to_send(row, order)
    if gauge is None and row.state == CylinderState.IN_USE:
        raise Refused(READ_IT)
    gauge, then = gauge or last_gauge(context.session, row), StateAfter(CylinderState(row.state), order.id)
    save_reading(context, row, gauge, key, then, sure=sure)
    _write_history(context, order, f"cylinder {row.name} goes to the venue")
    return row


def bring_back(
    context: Context,
    cylinder_id: int,
    gauge: PressureReading | None,
    key: str,
    *,
    sure: bool = False,
) -> Cylinder:
    """Brings the cylinder back from the venue, with what its gauge shows; it is put away then, or empty if the
    gauge shows nothing. Raises NotFound, Refused."""
    row = load_cylinder(context.session, cylinder_id, to_change=True)
    if reading_is_known(context.session, key) or row.order_id is None:
        return row
    if gauge is None:
        raise Refused(READ_IT)
    order = context.session.get_one(Order, row.order_id)
    then = StateAfter(CylinderState.FULL if gauge.bar > 0 else CylinderState.EMPTY)
    save_reading(context, row, gauge, key, then, sure=sure)
    _write_history(context, order, f"cylinder {row.name} is back")
    return row


def _refuse_to_send(row: Cylinder, order: Order) -> None:
    """Raises Refused if the cylinder cannot go along with the order."""
    if order.state != OrderState.OPEN or order.hand_over != HandOver.VENUE:
        sentence = f"Order {order.number} is not filled at the venue any more. No cylinder can go with it."
        raise Refused(Problem("cylinder", sentence))
    if row.order_id is not None:
        raise Refused(Problem("cylinder", f"{row.name} is with another order. Choose another cylinder."))
    if row.state not in IN_SHOP_STATES:
        raise Refused(Problem("cylinder", f"{row.name} is empty or returned. Choose another cylinder."))


def _write_history(context: Context, order: Order, act: str) -> None:
    """Records the move in the order's history."""
    write_history(context, order, act, [])
    touch_board(context.session)
