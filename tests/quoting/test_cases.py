"""Worked cases that were computed independently, asked as a whole order.

Settings unless a case says otherwise: 20 °C in shop and venue, sea level, certainty 95 %, open 08:00 to 18:00
every day, one person, drying 120 minutes. Friday is 27 November 2026, in a zone without clock changes. Times are
starts of filling.
"""

import math
from dataclasses import dataclass
from datetime import UTC, datetime, time
from zoneinfo import ZoneInfo

from app.physics.balloon import BalloonType
from app.physics.material import Material
from app.planning.opening import Opening
from app.quoting.catalogue import BalloonOffer, Catalogue
from app.quoting.quote import Quote, make_quote
from app.quoting.request import LineRequest, Occasion, OrderRequest
from app.quoting.shop import DEFAULT_VALUES, build_shop

UTC_ZONE = ZoneInfo("UTC")
OPEN = Opening(UTC_ZONE, {weekday: (time(8), time(18)) for weekday in range(7)})
UNTREATED, TREATED = False, True
NOW = datetime(2026, 11, 1, 8, tzinfo=UTC)
TYPES = {
    number: BalloonType(f"{number} in latex", Material.LATEX, number, mass)
    for number, mass in ((11, 3.0), (12, 3.2), (16, 8.5))
}
FOIL = BalloonType("18 in foil", Material.FOIL, 18, 10, 14, 240)


def _offer(number: int, balloon_type: BalloonType) -> BalloonOffer:
    return BalloonOffer(number, balloon_type, "round", 100, None, None, 100, 1000, None)


CATALOGUE = Catalogue(
    {**{number: _offer(number, one) for number, one in TYPES.items()}, 18: _offer(18, FOIL)}, {}, {}
)


@dataclass(frozen=True)
class Work:
    """Minutes of filling for the whole batch, whatever is in it, and of finishing."""

    filling: int
    finishing: int


def _shop(work: Work, **settings: float):
    """A shop in which each batch takes the same time: all of it is preparation."""
    seconds = ("handle_seconds", "seal_seconds", "treat_seconds", "stuff_seconds")
    values = {
        **DEFAULT_VALUES,
        **dict.fromkeys(seconds, 0.0),
        "prepare_minutes": work.filling - 1e-6,
        "finishing_minutes": float(work.finishing),
        "helium_l_per_s": 1e9,
        "air_l_per_s": 1e9,
        "spares_percent": 0.0,
        **settings,
    }
    return build_shop(values, OPEN)


def _at(text: str) -> datetime:
    return datetime.strptime(text, "%Y-%m-%d %H:%M").replace(tzinfo=UTC)


def _quote(work: Work, line: LineRequest, ready_by: str, start: str, end: str, shop=None, **changes) -> Quote:
    request = OrderRequest(
        "Case",
        "",
        Occasion.EVENT,
        (line,),
        _at(ready_by),
        event_start=_at(start),
        lasts_until=_at(end),
        **changes,
    )
    return make_quote(request, shop or _shop(work), CATALOGUE, NOW)


def _latex(size: int, quantity: int, *, treated: bool = False) -> LineRequest:
    return LineRequest(size, None, quantity, treated=treated)


def _told(quote: Quote):
    (batch,) = quote.batches
    window = batch.window
    shown = [f"{moment:%a %H:%M}" for moment in (window.not_before, window.inflate_by)]
    return (*shown, math.floor(window.chance * 100), window.verdict)
