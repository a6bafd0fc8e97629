"""Which colours of which balloons are short for the work of today."""

from collections.abc import Mapping

from app.actions.context import Context
from app.actions.stock.articles import colour_key
from app.actions.stock.availability import load_availability

ShortBalloons = Mapping[tuple[int, str], float]
"""How many are missing, by balloon type and by the colour as `colour_key` returns it. A type that the shop does not
count is never short."""


def short_today(context: Context) -> ShortBalloons:
    """Returns what is missing for what must be filled by the end of today; kept until something changes."""
    return context.keep("balloons short today", _find)


def missing_count(short: ShortBalloons, balloon_type_id: int, colour: str) -> int:
    """Returns how many balloons of a colour are missing; part of one counts as one."""
    return -int(-short.get((balloon_type_id, colour_key(colour)), 0.0) // 1)


def _find(context: Context) -> ShortBalloons:
    shelves = load_availability(context).by_article
    return {
        (article.balloon_type_id, one.colour): one.count
        for article, shelf in shelves.items()
        if article.balloon_type_id
        for one in shelf.shortages(until=context.today)
    }
