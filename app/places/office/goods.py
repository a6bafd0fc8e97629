"""Office: the designs that are sold."""

from typing import Any

from flask import Blueprint, flash, make_response, render_template, request, url_for
from flask.wrappers import Response
from wtforms.validators import ValidationError

from app.actions.errors import Refused
from app.actions.office import add_design, retire_design
from app.actions.parts import design_note
from app.craft.colours import ColoursUnclear, share_out
from app.physics.balloon import Gas
from app.places.office.kinds import floats_for
from app.store.models import KindRow
from app.web.door import visit
from app.web.forms import read_id, read_money, read_number, read_whole
from app.web.htmx import see_other

PART_ROWS = 4


def add_to(office: Blueprint) -> None:
    office.get("/designs")(designs)
    office.post("/designs")(save_design)
    office.post("/designs/<int:design_id>/retire")(retire)
    office.post("/designs/<int:design_id>/sell")(sell_again)


def designs() -> Response:
    return _designs_page()


def save_design() -> Response:
    here, sent = visit(), request.form
    try:
        name = " ".join(sent.get("name", "").split())
        if not 1 <= len(name) <= 60:
            raise ValidationError("A name of 1 to 60 letters, please.")
        price = read_money(sent.get("price", ""), here.formats.decimals)
        minutes = read_number(sent.get("minutes", "") or "0", 0, 600, "minutes")
        design = add_design(here.session, name, price, minutes, _read_parts())
    except ValidationError as wrong:
        return _designs_page(str(wrong), status=422)
    except ColoursUnclear as unclear:
        return _designs_page(str(unclear), status=422)
    except Refused as refused:
        return _designs_page(refused.problems[0].sentence, status=422)
    flash(f"{design.name} is sold from now on.")
    return see_other(url_for("office.designs"))


def _read_parts() -> list[tuple[KindRow, Gas, int, list[list[str | int]]]]:
    sent, kinds = request.form, visit().goods.kinds
    parts = []
    for place in range(PART_ROWS):
        chosen = sent.get(f"kind-{place}", "")
        if not chosen:
            continue
        kind = kinds.get(read_id(chosen))
        if kind is None or kind.retired_at is not None:
            raise ValidationError("The shop has no such kind: choose another.")
        quantity = read_whole(sent.get(f"quantity-{place}", ""), 1, 1000, f"{kind.name}, how many")
        gas = Gas.AIR if sent.get(f"gas-{place}") == "air" else Gas.HELIUM
        if gas is Gas.HELIUM and not floats_for(kind):
            raise ValidationError(f"{kind.name} with helium does not float: too small. Fill it with air.")
        text = sent.get(f"colours-{place}", "").strip()
        colours: list[list[str | int]] = [[n, c] for n, c in share_out(text, quantity).items()] if text else []
        parts.append((kind, gas, quantity, colours))
    if not parts:
        raise ValidationError("What is it made of? One part at least, please.")
    return parts


def retire(design_id: int) -> Response:
    design = retire_design(visit().session, design_id, visit().now)
    flash(f"{design.name} is no longer sold. Orders that have it keep it.")
    return see_other(url_for("office.designs"))


def sell_again(design_id: int) -> Response:
    design = retire_design(visit().session, design_id, None)
    flash(f"{design.name} is sold again.")
    return see_other(url_for("office.designs"))


def _designs_page(wrong: str = "", status: int = 200) -> Response:
    goods = visit().goods
    shown: list[Any] = [(design, design_note(design, goods)) for design in goods.designs.values()]
    page = render_template(
        "office/designs.html",
        designs=shown,
        kinds=goods.kinds_offered,
        part_rows=PART_ROWS,
        wrong=wrong,
        sent=request.form,
    )
    return make_response(page, status)
