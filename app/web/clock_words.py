"""The time that the shop's clock shows, in words."""

from datetime import datetime
from functools import lru_cache
from zoneinfo import ZoneInfo

from app.web import locales

MOST_KEPT = 4096


@lru_cache(MOST_KEPT)
def clock_words(timestamp: float, zone: ZoneInfo, locale: str, *, twelve_hours: bool) -> str:
    """Returns the time as “14:30” or “2:30 pm”, with the zone's letters when the clocks show that time twice.

    timestamp: of the moment. Results are kept, because a page names the same few times again and again.
    """
    local = datetime.fromtimestamp(timestamp, zone)
    text = locales.clock(locale, local.hour, local.minute, twelve_hours=twelve_hours)
    other = local.replace(fold=1 - local.fold)
    if other.utcoffset() != local.utcoffset() and _is_shown_by_clocks(other):
        return f"{text} {local:%Z}"
    return text


def _is_shown_by_clocks(local: datetime) -> bool:
    """Returns whether the clocks ever show this local time; they do not show one that they skip."""
    zone = local.tzinfo
    return local.astimezone(ZoneInfo("UTC")).astimezone(zone).replace(tzinfo=None) == local.replace(tzinfo=None)
