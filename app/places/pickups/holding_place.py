"""Pick-ups: where in the holding area an order stands, in one field."""

from collections.abc import Callable

from flask import request

from app.actions.orders.holding_place import set_holding_place
from app.quoting.errors import Refused
from app.quoting.states import OrderPart
from app.store.queries.pickup_rows import PickupRow
from app.web.forms import ShopForm, TextField
from app.web.requests import request_context


class PlaceForm(ShopForm):
    """Where an order stands."""

    place = TextField("Place in the holding area")

    key: tuple[int, str] | None = None
    """The order and the part on whose card it stands."""


def save_place(number: int) -> PlaceForm:
    """Saves the place, and returns the form: with a sentence if it was refused. Raises NotFound."""
    part = request.form.get("part", OrderPart.MAIN)
    form = PlaceForm(request.form, id_suffix=_suffix(number, part))
    form.key = (number, part)
    try:
        set_holding_place(request_context().context, number, form.place.text)
    except Refused as refused:
        form.add_problems(refused.problems)
    return form


def place_forms(refused: PlaceForm | None) -> Callable[[PickupRow], PlaceForm]:
    """Returns a function from a hand-over to its form: the refused form for its order, else one with its place."""

    def form_of(row: PickupRow) -> PlaceForm:
        if refused and refused.key == (row.number, row.part):
            return refused
        return PlaceForm(id_suffix=_suffix(row.number, row.part), data={"place": row.holding_place or ""})

    return form_of


def _suffix(number: int, part: str) -> str:
    return f"{number}-later" if part == OrderPart.LATER else str(number)
