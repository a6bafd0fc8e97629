"""How the shop says that its own colours look."""

from dataclasses import dataclass

from app.quoting.states import Finish


@dataclass(frozen=True, slots=True)
class ColourLook:
    """fill: a colour as SVG writes it, “#c8102e”, or “none”."""

    fill: str
    finish: Finish


def colour_key(name: str) -> str:
    """Returns the name as it is looked up: small letters, single spaces, no hyphens."""
    return " ".join(name.casefold().replace("-", " ").split())
