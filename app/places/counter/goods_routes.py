"""Counter: what a line may be, found while a name or a part is typed, and chosen."""

import re
from datetime import date

from flask import Blueprint, render_template, request, url_for

from app.places.counter.design_tiles import line_for_more, pictures
from app.places.counter.forms import OrderForm
from app.places.counter.goods_search import DAYS, day_wanted, find_goods
from app.planning.shoptime import local_day
from app.web.forms import read_id
from app.web.requests import request_context

_CHOSEN = re.compile(r"what-([0-9]{1,3})-((?:kind|design):[0-9]{1,9})")
_PICTURED = re.compile(r"pictured-([0-9]{1,9})")
_FIND = re.compile(r"find-([0-9]{1,3})")


def register(counter: Blueprint) -> None:
    """Registers the search for a line."""
    counter.get("/goods")(goods)


def goods() -> str:
    """Shows what the line may be, while somebody types."""
    here, asked = request_context(), request.args
    line = min(read_id(asked.get("line")), 999)
    day = day_wanted((asked.get(f"{name}-day") for name in DAYS), this_day())
    found = find_goods(asked.get(f"lines-{line}-find", "")[:80], here.catalogue, here.shop, here.formats, day)
    draft = url_for("counter.draft", order=read_id(asked.get("order")) or None)
    shown = pictures() if any(find.what.startswith("design:") for find in found.finds) else {}
    return render_template("counter/_finds.html", found=found, line=line, draft=draft, pictures=shown)


def settle(form: OrderForm, fix: str) -> bool:
    """Returns whether this press asked for what a line may be, or chose it.

    Any other press settles typed names that fit only one thing, on lines where nothing is chosen yet.
    """
    if chosen := _CHOSEN.fullmatch(fix):
        _choose(form, int(chosen[1]), chosen[2])
        return True
    if pressed := _PICTURED.fullmatch(fix):
        place = line_for_more(form)
        if place is not None:
            _choose(form, place, f"design:{pressed[1]}")
        return True
    if asked := _FIND.fullmatch(fix):
        place = int(asked[1])
        form.focus = f"lines-{place}-find"
        _settle_line(form, place)
        return True
    for place, line in enumerate(form.lines):
        if not line.form.what.data:
            _settle_line(form, place)
    return False


def _settle_line(form: OrderForm, place: int) -> None:
    """Chooses what the line may be, if the typed name fits only one thing."""
    here = request_context()
    text = (form.lines[place].form.find.data or "").strip() if place < len(form.lines) else ""
    if text:
        found = find_goods(text, here.catalogue, here.shop, here.formats, form.day_wanted(this_day()))
        if len(found.finds) == 1:
            _choose(form, place, found.finds[0].what)


def _choose(form: OrderForm, place: int, what: str) -> None:
    """Chooses what was pressed for the line."""
    if place < len(form.lines):
        line = form.lines[place].form
        line.choose(what)
        form.focus = line.quantity.name


def this_day() -> date:
    """Returns today's local date."""
    return local_day(request_context().now, request_context().formats.zone)
