"""This module words the answer of the order form: what is wrong and what to do about it, in as few words as
possible."""

from collections.abc import Sequence
from datetime import date, datetime

from app.planning.finishing import Fit
from app.planning.window import BenchWindow
from app.web.formats import Formats


def moment_words(moment: datetime, formats: Formats, named_day: date) -> str:
    """Returns the time of a moment, with its weekday and date unless that day was named just before."""
    if formats.local(moment).date() == named_day:
        return formats.clock(moment)
    return formats.moment(moment)


def fill_sentence(window: BenchWindow, formats: Formats, now: datetime) -> str:
    """Returns when a batch may be filled. Today is not named; any other day is, once."""
    today = formats.local(now).date()
    by = moment_words(window.inflate_by, formats, today)
    if window.inflate_by < now:
        return f"The latest start was {by}."
    if window.earliest is None or window.earliest <= now:
        return f"Fill any time until {by}."
    earliest = moment_words(window.earliest, formats, today)
    by_then = _second_moment(window.earliest, window.inflate_by, formats, today)
    if window.is_empty:
        return f"To last, they must be filled after {earliest}. To be ready, they must be filled by {by_then}."
    if earliest == by:
        return f"Fill at {by}."
    return f"Fill between {earliest} and {by_then}."


def _second_moment(first: datetime, second: datetime, formats: Formats, today: date) -> str:
    """Returns the second of two moments; its day is named if it is not the first one's, even if it is today."""
    day = formats.local(first).date()
    if formats.local(second).date() != day or day == today:
        return moment_words(second, formats, day)
    return formats.clock(second)


def can_make_words(fit: Fit, ready_by: datetime, formats: Formats, now: datetime) -> str:
    """Returns whether the bench can make an order in time, for the headline."""
    if fit is Fit.FITS:
        return "Can be ready"
    by = moment_words(ready_by, formats, formats.local(now).date())
    if fit is Fit.CANNOT:
        return f"Can't be ready by {by}"
    return f"May not be ready by {by}"


def short_headline(short: Sequence[str]) -> str:
    """Returns “Short of 12 red 11 in latex and 2 more”; empty if nothing is short."""
    if not short:
        return ""
    more = f" and {len(short) - 1} more" if len(short) > 1 else ""
    return f"Short of {short[0]}{more}"


def fine_sentence(topics: Sequence[str]) -> str:
    """Returns “Bench, stock and gas: fine.”; empty if nothing is fine."""
    if not topics:
        return ""
    *others, last = topics
    named = f"{', '.join(others)} and {last}" if others else last
    return f"{named[0].upper()}{named[1:]}: fine."
