"""Cylinders as they are delivered: what each holds, how pure the gas is, and what state the cylinder is in."""

from dataclasses import asdict, dataclass
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.actions.context import Context
from app.actions.errors import NotFound
from app.actions.records.history import lock_board
from app.actions.records.idempotency import save_once, saved_with_key
from app.quoting.errors import Problem, Refused
from app.quoting.states import CylinderState
from app.store.models import Cylinder
from app.store.queries.gas import lock_cylinder

NAME_NEEDED = "Enter a name of 1 to 40 letters."


@dataclass(frozen=True, slots=True)
class CylinderFigures:
    """water_l: litres of water. full_bar: on the gauge when it was delivered, at 15 °C."""

    name: str
    water_l: float
    full_bar: float
    purity_percent: float
    came_on: date


def add_cylinder(context: Context, figures: CylinderFigures, client_key: str) -> Cylinder:
    """Saves a full cylinder at the shop and returns it. A second call with the same key returns the first one.
    Raises Refused."""
    lock_board(context.session)  # so that the same form, sent twice at once, does not find its own name taken
    if known := saved_with_key(context.session, Cylinder, client_key):
        return known
    _check(context.session, figures, context.clock_date, None)
    return save_once(
        context.session, Cylinder(client_key=client_key, state=CylinderState.FULL, order_id=None, **asdict(figures))
    )


def change_cylinder(context: Context, cylinder_id: int, figures: CylinderFigures) -> Cylinder:
    """Corrects what was typed. Raises NotFound, Refused."""
    row = load_cylinder(context.session, cylinder_id, to_change=True)
    _check(context.session, figures, context.clock_date, row)
    for name, value in asdict(figures).items():
        setattr(row, name, value)
    context.session.flush()
    return row


def load_cylinder(session: Session, cylinder_id: int, *, to_change: bool = False) -> Cylinder:
    """Returns the cylinder. to_change: nobody else may change it until the session ends. Raises NotFound."""
    row = lock_cylinder(session, cylinder_id) if to_change else session.get(Cylinder, cylinder_id)
    if row is None:
        raise NotFound("This cylinder does not exist.")
    return row


def _check(session: Session, figures: CylinderFigures, today: date, row: Cylinder | None) -> None:
    """Raises Refused for a wrong figure or a taken name."""
    if not 1 <= len(figures.name) <= 40:
        raise Refused(Problem("name", NAME_NEEDED))
    if figures.came_on > today:
        raise Refused(Problem("came_on", "Enter today or an earlier day."))
    same = select(Cylinder.id).where(Cylinder.name == figures.name, Cylinder.state != CylinderState.GONE_BACK)
    if any(found != (row.id if row else None) for found in session.scalars(same)):
        raise Refused(Problem("name", f"There is already a cylinder “{figures.name}”. Enter another name."))
