"""Office: how the balloons of a colour look in this shop."""

from collections.abc import Iterator
from typing import Any

from flask import Blueprint, Response, flash, make_response, render_template, request, url_for

from app.actions.shop.own_colours import FINISHES, delete_own_colour, own_colours, save_own_colour
from app.quoting.colour_looks import colour_key
from app.quoting.errors import Refused
from app.quoting.states import Finish
from app.store.queries.stock_pages import load_stocked_colours
from app.web.colours import shop_colour_look
from app.web.forms import RadioChoiceField, ShopForm, TextField, choices_of
from app.web.forms.drawn import DrawnField
from app.web.htmx import see_other
from app.web.requests import request_context
from app.web.stored_form import StoredForm

FINISH_WORDS = {
    Finish.PLAIN: "Plain",
    Finish.METALLIC: "Metallic",
    Finish.CLEAR: "Clear",
    Finish.PATTERNED: "Patterned",
    Finish.UNKNOWN: "Not known",
}
FIRST_FILL = "#c0c0c0"
"""What the field shows for a colour of which nothing is known."""


class ColourForm(ShopForm):
    """How a balloon of one colour looks."""

    name = TextField("Colour name")
    fill = TextField("Colour")
    finish = RadioChoiceField("Finish", choices=choices_of({one: FINISH_WORDS[one] for one in FINISHES}))


def register(office: Blueprint) -> None:
    """Registers the page of colours."""
    office.get("/balloon-types/colours")(colours)
    office.post("/balloon-types/colours")(save_colour)
    office.post("/balloon-types/colours/<key>/remove")(remove_colour)


def colours() -> Response:
    """Shows how colours look, and the form for one. The address may name a colour."""
    return _page(ColourForm(data=_texts_of(request.args.get("name", ""))))


def save_colour() -> Response:
    """Saves how a balloon of one colour looks."""
    form = ColourForm(request.form)
    is_valid = form.validate()
    stored = _stored(colour_key(form.name.text))
    if stored.is_unchanged(form) and is_valid:
        try:
            row = save_own_colour(request_context().session, form.name.value, form.fill.value, form.finish.data)
            stored.write_history()
            flash(f"{row.name} saved.")
            return see_other(url_for("office.colours"))
        except Refused as refused:
            form.add_problems(refused.problems)
    return _page(form, status=form.refused_status)


def remove_colour(key: str) -> Response:
    """Forgets how the shop said that a colour looks."""
    stored, form = _stored(key), ShopForm()
    if not stored.is_unchanged(form):
        return _page(ColourForm(data=_texts_of("")), removing=(key, form), status=form.refused_status)
    name = delete_own_colour(request_context().session, key)
    stored.write_history()
    flash(f"{name} removed.")
    return see_other(url_for("office.colours"))


def _texts_of(name: str) -> dict[str, Any]:
    """Returns what fills in the form for a colour: how it looks so far."""
    look = shop_colour_look(name)
    is_known = look.finish is not Finish.UNKNOWN
    finish = look.finish if is_known else Finish.PLAIN
    return {"name": name, "fill": look.fill if is_known else FIRST_FILL, "finish": finish}


def _stored(only: str = "") -> StoredForm:
    """Returns what is stored of the shop's own colours. only: the key to look at; all if it is empty."""
    return StoredForm("colours", lambda: dict(_drawn_colours()), {only} if only else None)


def _drawn_colours() -> Iterator[tuple[str, DrawnField]]:
    """Yields each of the shop's own colours as a field whose name is its key."""
    for row in own_colours(request_context().session):
        look = f"{row.fill}, {FINISH_WORDS[row.finish].lower()}"
        yield row.key, DrawnField(row.name, look, look)


def _page(form: ColourForm, removing: tuple[str, ShopForm] | None = None, status: int = 200) -> Response:
    """Returns the page of colours. removing: the key of a colour that was not removed, and why."""
    stored, session = _stored(), request_context().session
    stored.draw(form)
    own = own_colours(session)
    keys = {row.key for row in own}
    page = render_template(
        "office/colours.html",
        form=form,
        removing=removing,
        drawn=stored.drawn,
        own=own,
        others=[name for name in load_stocked_colours(session) if colour_key(name) not in keys],
        finish_words=FINISH_WORDS,
    )
    return make_response(page, status)
