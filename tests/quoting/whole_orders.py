"""Whole orders of one line, asked of a shop in which every batch takes the same time, whatever is in it.

Settings unless others are passed: 20 °C in shop and venue, sea level, certainty 95 %, open 08:00 to 18:00 every
day, one person, drying 120 minutes. Friday is 27 November 2026, in a zone without clock changes.
"""

import math
from dataclasses import dataclass
from datetime import UTC, datetime, time
from zoneinfo import ZoneInfo

from app.physics.balloon import BalloonType, Gas
from app.physics.material import Material
from app.planning.opening import Opening
from app.quoting.catalogue import BalloonOffer, Catalogue
from app.quoting.quote import NO_COMMITMENTS, Quote, make_quote
from app.quoting.request import LineRequest, Occasion, OrderRequest
from app.quoting.runs import BatchPlan
from app.quoting.shop import DEFAULT_VALUES, Shop, build_shop

OPEN = Opening(ZoneInfo("UTC"), {weekday: (time(8), time(18)) for weekday in range(7)})
NOW = datetime(2026, 11, 1, 8, tzinfo=UTC)
GRAMS = {9: 2.0, 11: 3.0, 12: 3.2, 16: 8.5, 36: 60.0}
FOIL, SPHERE = 118, 120
TYPES = {
    **{
        size: BalloonType(f"{size} in latex", Material.LATEX, size, grams, size_factor=0.55 if size == 36 else 1.0)
        for size, grams in GRAMS.items()
    },
    FOIL: BalloonType("18 in foil", Material.FOIL, 18, 10, 14, 240),
    SPHERE: BalloonType("20 in sphere", Material.SPHERE, 20, 10, 20, 408),
}
"""Masses, litres and hours: common practice or from memory."""
CATALOGUE = Catalogue(
    {key: BalloonOffer(key, one, "round", 100, None, None, 100, 1000, None) for key, one in TYPES.items()}, {}, {}
)


@dataclass(frozen=True)
class Work:
    """Minutes of filling for the whole batch, and of finishing."""

    filling: int
    finishing: int


USUAL = Work(20, 10)


def shop_of(work: Work = USUAL, **settings: float) -> Shop:
    """A shop in which all the time that a batch takes is preparation."""
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


def at(text: str) -> datetime:
    """“27 14:05”: a day of November 2026 and its hour."""
    return datetime.strptime(f"2026-11-{text}", "%Y-%m-%d %H:%M").replace(tzinfo=UTC)


def latex(size: int, quantity: int, *, treated: bool = False, gas: Gas = Gas.HELIUM) -> LineRequest:
    return LineRequest(size, None, quantity, treated=treated, gas=gas)


def ask(
    line: LineRequest, ready_by: str, start: str, end: str, shop: Shop, commitments=NO_COMMITMENTS, **changes
) -> Quote:
    """The quote of an order of one line, collected at ready_by for an event from start to end."""
    hours = {"event_start": at(start), "lasts_until": at(end)}
    request = OrderRequest("Case", "", Occasion.EVENT, (line,), at(ready_by), **hours, **changes)
    return make_quote(request, shop, CATALOGUE, NOW, commitments)


def batch_of(quote: Quote) -> BatchPlan:
    (batch,) = quote.batches
    return batch


def told(quote: Quote):
    """Not before, inflate by, the chance as it is shown, and the verdict."""
    window = batch_of(quote).window
    return (*map(told_hour, (window.not_before, window.inflate_by)), percent(window.chance), window.verdict)


def told_hour(moment: datetime) -> str:
    return f"{moment:%a %H:%M}"


def percent(chance: float) -> int:
    """Rounded down to whole percent."""
    return math.floor(chance * 100)


def chance_from(quote: Quote, start: str) -> float:
    """The chance of the one batch if it starts then."""
    return batch_of(quote).float_plan.chance(at(start))
