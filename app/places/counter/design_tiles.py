"""Counter: designs chosen by their picture."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Any

from app.actions.catalogue.seasons import in_season, season_words
from app.places.counter.forms import MOST_LINES, OrderForm
from app.quoting.catalogue import Design
from app.quoting.costs import asked_for
from app.store.models import Photo
from app.store.queries.photos import first_photos
from app.web.requests import request_context

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


def show_pictured(day: date) -> dict[str, Any]:
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
        price = here.formats.money(asked_for(row, here.catalogue, here.shop))
        season = "" if in_season(row.seasons, day) else season_words(row.seasons)
        yield Tile(row.id, row.name, price, found.get(f"design:{row.id}"), season)


def line_for_more(form: OrderForm) -> int | None:
    """Returns the place of the first blank line, or of a new one; None if the form can hold no more."""
    blank = next((place for place, line in enumerate(form.lines) if line.form.is_blank), None)
    if blank is not None or len(form.lines) >= MOST_LINES:
        return blank
    form.lines.append_entry()
    return len(form.lines) - 1
