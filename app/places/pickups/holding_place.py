"""Pick-ups: where in the holding area a part of an order stands, in one field."""

from collections.abc import Callable

from flask import request

from app.actions.orders.holding_place import set_holding_place
from app.quoting.errors import Problem, Refused
from app.quoting.states import OrderPart
from app.store.queries.pickup_rows import PickupRow
from app.web.forms import ShopForm, TextField
from app.web.requests import request_context
from app.web.wording.forms import PAGE_OUT_OF_DATE


class PlaceForm(ShopForm):
    """Where a part of an order stands."""

    place = TextField("Place in the holding area")

    key: tuple[int, OrderPart] | None = None
    """The order and the part on whose card it stands."""


def save_place(number: int) -> PlaceForm:
    """Saves the place, and returns the form: with a sentence if it was refused. Raises NotFound, Refused."""
    part = _sent_part()
    form = PlaceForm(request.form, id_suffix=_suffix(number, part))
    form.key = (number, part)
    try:
        set_holding_place(request_context().context, number, form.place.text, part)
    except Refused as refused:
        form.add_problems(refused.problems)
    return form


def _sent_part() -> OrderPart:
    try:
        return OrderPart(request.form.get("part", OrderPart.MAIN))
    except ValueError:
        raise Refused(Problem("part", PAGE_OUT_OF_DATE)) from None


def place_forms(refused: PlaceForm | None) -> Callable[[PickupRow], PlaceForm]:
    """Returns a function from a hand-over to its form: the refused form for it, else one with its place."""

    def form_of(row: PickupRow) -> PlaceForm:
        if refused and refused.key == (row.number, row.part):
            return refused
        return PlaceForm(id_suffix=_suffix(row.number, row.part), data={"place": row.place})

    return form_of


def _suffix(number: int, part: OrderPart) -> str:
    return f"{number}-later" if part is OrderPart.LATER else str(number)
