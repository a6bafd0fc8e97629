"""The time zones that a shop can have, and the nearest one to what was typed."""

import difflib
from functools import cache
from zoneinfo import available_timezones

CLOSE_ENOUGH = 0.7
"""The least likeness of a zone that is suggested, as difflib counts it; chosen, no source."""
UNKNOWN_ZONE = "“{typed}” is not a time zone. {right}"
CHOOSE_ZONE = "Choose one from the list, for example Europe/London or America/Denver."
DID_YOU_MEAN = "Did you mean {zone}?"


@cache
def all_zones() -> frozenset[str]:
    """Returns every zone that may be saved."""
    return frozenset(available_timezones())


@cache
def offered_zones() -> tuple[str, ...]:
    """Returns the zones that are offered: those that are named after a place, and UTC."""
    places = sorted(zone for zone in all_zones() if "/" in zone and not zone.startswith("Etc/"))
    return (*places, "UTC")


def find_zone(typed: str) -> str:
    """Returns the zone of this name, however its letters are written, or the one that is named after this city.
    Raises ValueError with a sentence, and with the nearest zone if there is one."""
    if typed in all_zones():
        return typed
    folded = _folded(typed)
    if same := next((zone for zone in offered_zones() if _folded(zone) == folded), None):
        return same
    if len(of_city := [zone for zone in offered_zones() if _folded(zone).rpartition("/")[2] == folded]) == 1:
        return of_city[0]
    nearest = _nearest(folded)
    right = DID_YOU_MEAN.format(zone=nearest) if nearest else CHOOSE_ZONE
    raise ValueError(UNKNOWN_ZONE.format(typed=typed, right=right) if typed.strip() else CHOOSE_ZONE)


def _nearest(folded: str) -> str | None:
    """Returns the zone whose name or place is most like the text; None if none is near."""
    names = {_folded(zone): zone for zone in offered_zones()}
    places = {name.rpartition("/")[2]: zone for name, zone in names.items()}
    likely = difflib.get_close_matches(folded, [*places, *names], n=1, cutoff=CLOSE_ENOUGH)
    return (places | names)[likely[0]] if likely else None


def _folded(zone: str) -> str:
    """Returns a name in small letters with blanks."""
    return " ".join(zone.replace("_", " ").lower().split())
