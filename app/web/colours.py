"""How a balloon of a named colour looks in the shop that answers this request."""

from app.quoting.colour_looks import ColourLook
from app.web.drawings.swatches import colour_look
from app.web.requests import has_context, request_context


def shop_colour_look(name: str) -> ColourLook:
    """Returns how a balloon of this colour looks. A page of an error that has no session knows none of the shop's
    own colours."""
    return colour_look(name, request_context().own_colours) if has_context() else colour_look(name)
