"""How a balloon of a named colour looks in the shop that answers this request."""

import re
from collections.abc import Iterable

from flask import has_app_context

from app.quoting.colour_looks import ColourLook
from app.web.drawings.swatches import colour_look
from app.web.requests import has_context, request_context

_COUNT = re.compile(r"^\d+\s*(?:×|[xX](?!\w))?\s*")


def shop_colour_look(name: str) -> ColourLook:
    """Returns how a balloon of this colour looks. Where no request has a session, as on some pages of an error,
    none of the shop's own colours is known."""
    has_shop = has_app_context() and has_context()
    return colour_look(name, request_context().own_colours) if has_shop else colour_look(name)


def counted_looks(colours: Iterable[tuple[str, int]]) -> tuple[tuple[str, int, str, str], ...]:
    """Returns colours with their counts as (name, count, finish, fill)."""
    looks = ((name, count, shop_colour_look(name)) for name, count in colours)
    return tuple((name, count, look.finish, look.fill) for name, count, look in looks)


def colours_in(text: str) -> list[tuple[str, str]]:
    """Returns the text of a line's colours in pieces, each with the name of the colour in it, empty if the piece is
    a separator: “12 red, 12 white” has three."""
    pieces = re.split(r"(\s*[,;+/&\n]\s*|\s+and\s+)", text)
    return [(piece, "" if place % 2 else _COUNT.sub("", piece)) for place, piece in enumerate(pieces) if piece]
