"""Counter: matches designs and balloon types for a line while somebody types, and writes the chosen one into it."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Any

from flask import Blueprint, render_template, request, url_for

from app.actions.catalogue.seasons import describe_seasons, in_season
from app.places.counter.forms import OrderForm
from app.places.counter.goods_search import SEASON_DATE_FIELDS, event_day_of, find_goods, show_goods
from app.planning.shoptime import local_day
from app.quoting.catalogue import Design
from app.quoting.costs import current_design_price
from app.store.models import Photo
from app.store.queries.photos import first_photos
from app.web.forms import read_id
from app.web.requests import request_context

_CHOSEN = re.compile(r"what-([0-9]{1,3})-((?:balloon_type|design):[0-9]{1,9})")
_PICTURED = re.compile(r"pictured-([0-9]{1,9})")
_FIND = re.compile(r"find-([0-9]{1,3})")


def register(counter: Blueprint) -> None:
    """Registers the search for a line."""
    counter.get("/goods")(goods)


def goods() -> str:
    """Shows what the line may be, while somebody types."""
    here, asked = request_context(), request.args
    line = min(read_id(asked.get("line")), 999)
    day = event_day_of((asked.get(f"{name}-day") for name in SEASON_DATE_FIELDS), this_day())
    found = find_goods(asked.get(f"lines-{line}-find", "")[:80], here.catalogue, here.shop, here.formats, day)
    draft = url_for("counter.draft", order=read_id(asked.get("order")) or None)
    shown = pictures() if any(find.what.startswith("design:") for find in found.matches) else {}
    return render_template("counter/_finds.html", found=found, line=line, draft=draft, pictures=shown)


def choose_goods(form: OrderForm, fix: str) -> bool:
    """Returns whether this press asked for what a line may be, or chose it.

    Any other press settles typed names that can mean only one thing, on lines where nothing is chosen yet.
    """
    if chosen := _CHOSEN.fullmatch(fix):
        _choose(form, int(chosen[1]), chosen[2])
        return True
    if pressed := _PICTURED.fullmatch(fix):
        place = blank_line_place(form)
        if place is not None:
            _choose(form, place, f"design:{pressed[1]}")
        return True
    if asked := _FIND.fullmatch(fix):
        place = int(asked[1])
        form.focus = f"lines-{place}-find"
        _choose_only_match(form, place)
        return True
    settle_names(form)
    return False


def settle_names(form: OrderForm) -> None:
    """Chooses what the lines may be on which only a name was typed that can mean only one thing."""
    for place, line in enumerate(form.lines):
        if not line.form.what.data:
            _choose_only_match(form, place)


def _choose_only_match(form: OrderForm, place: int) -> None:
    """Chooses what the line may be, if the typed name, as it stands, can mean only one thing."""
    here = request_context()
    text = (form.lines[place].form.find.data or "").strip() if place < len(form.lines) else ""
    if text:
        found = find_goods(text, here.catalogue, here.shop, here.formats, form.event_day_of(this_day()))
        if found.certain:
            _choose(form, place, found.certain.what)


def _choose(form: OrderForm, place: int, what: str) -> None:
    """Chooses what was pressed for the line, and names it there."""
    if place < len(form.lines):
        here, line = request_context(), form.lines[place].form
        line.choose(what)
        line.taken = show_goods(what, here.catalogue, here.shop, here.formats, form.event_day_of(this_day()))
        form.focus = line.colours.name if line.quantity.data else line.quantity.name


def this_day() -> date:
    """Returns today's local date."""
    return local_day(request_context().now, request_context().formats.zone)


Pictures = dict[str, Photo]
"""The photo of each design that has one, by the design's value in a line's list."""


@dataclass(frozen=True, slots=True)
class Tile:
    """A design with its picture. season: when it is sold, if it is out of season."""

    design_id: int
    name: str
    price: str
    photo: Photo | None
    season: str


def pictures() -> Pictures:
    """Returns the first photos of all designs."""
    here = request_context()
    if not here.catalogue.designs:
        return {}
    return {f"design:{design_id}": photo for design_id, photo in first_photos(here.session).items()}


def design_picture_variables(day: date) -> dict[str, Any]:
    """Returns what the order form needs to show pictures of designs."""
    found = pictures()
    return {"pictures": found, "tiles": tuple(_tiles(_on_sale(day), day, found))}


def _on_sale(day: date) -> list[Design]:
    """Returns the designs: those in season first, those out of season last."""
    rows = [row for row in request_context().catalogue.designs.values() if row.archived_at is None]
    rows.sort(key=lambda row: (not in_season(row.seasons, day), not row.seasons))
    return rows


def _tiles(rows: list[Design], day: date, found: Pictures) -> Iterator[Tile]:
    """Yields the designs that have a picture."""
    here = request_context()
    for row in rows:
        price = here.formats.money(current_design_price(row, here.catalogue, here.shop))
        season = "" if in_season(row.seasons, day) else describe_seasons(row.seasons)
        yield Tile(row.id, row.name, price, found.get(f"design:{row.id}"), season)


def blank_line_place(form: OrderForm) -> int | None:
    """Returns the place of the first blank line, or of a new one; None if the form can hold no more."""
    blank = next((place for place, line in enumerate(form.lines) if line.form.is_blank), None)
    if blank is not None or not form.lines.has_room():
        return blank
    form.lines.append_entry()
    return len(form.lines) - 1
