"""This module says why a batch is filled when it is: four sentences, from its float time to its finishing."""

import math
from collections.abc import Callable
from datetime import date, datetime
from functools import lru_cache

from app.planning.reasons import FinishingReason, FloatReason, Lasting, TimeReasons, WorkReason
from app.web.formats import Formats
from app.web.wording.materials import MATERIAL_WORDS
from app.web.wording.outcome import odds_words, promised_words

REMEMBERED = 1024


def describe_reasons(reasons: TimeReasons, formats: Formats, day: date, now: datetime) -> tuple[str, str, str, str]:
    """Returns the reasons for the time of a batch: how long it lasts, what the order uses of that, the bench, the
    finishing. Times on the day have no weekday. An earliest start that has passed is not mentioned."""
    return _sentences(reasons, formats, day, _earliest_safe_start(reasons, now), _opening(reasons.work, now))


@lru_cache(REMEMBERED)
def _sentences(
    reasons: TimeReasons, formats: Formats, day: date, earliest: datetime | None, opening: datetime | None
) -> tuple[str, str, str, str]:
    """Returns the sentences. They are remembered, because a board is drawn again and again with the same batches.

    earliest, opening: the earliest safe start and the next opening of the shop where they still matter.
    """

    def at(moment: datetime) -> str:
        return formats.short_moment(moment, day)

    return (
        _how_long(reasons, formats),
        _how_much(reasons, formats, at, earliest),
        _bench(reasons, formats, at, opening),
        _finishing(reasons.finishing, formats, at),
    )


At = Callable[[datetime], str]


def _how_long(reasons: TimeReasons, formats: Formats) -> str:
    lasts, balloons = reasons.lasts, MATERIAL_WORDS[reasons.lasts.material].plural
    if lasts.lasting is Lasting.UNLIMITED:
        return f"{balloons} filled with air keep their looks."
    if not lasts.hours_after:
        return "These balloons do not rise: they are too heavy for their gas."
    longer = "" if lasts.lasting is Lasting.LOOKS or lasts.by_light else " or longer"
    hours = _hours_of_places(lasts, formats, longer, at_venue=reasons.work.at_venue)
    if lasts.lasting is Lasting.LOOKS:
        stays_indoors = lasts.hours_before == lasts.hours_after and not reasons.work.at_venue
        daylight = "" if stays_indoors else "; only daylight counts outdoors"
        return f"{balloons} filled with air are good for {hours}{daylight}."
    if lasts.by_light:
        return f"These balloons are good for {hours}: light ages latex, treated or not. Their helium lasts longer."
    stated = ", by the hours stated for their type" if lasts.lasting is Lasting.STATED else ""
    return f"With what hangs on them, half of these balloons float for {hours}{stated}."


def _hours_of_places(lasts: FloatReason, formats: Formats, longer: str, *, at_venue: bool) -> str:
    before, after = formats.hours(lasts.hours_before), formats.hours(lasts.hours_after)
    if at_venue or before == after:
        return f"{after}{longer}"
    return f"{before}{longer} in the shop, and for {after}{longer} at the venue"


def _how_much(reasons: TimeReasons, formats: Formats, at: At, earliest: datetime | None) -> str:
    lasts = reasons.lasts
    start, until = at(lasts.start), at(lasts.until)
    they, them, their, use = _pronouns(lasts)
    filled = f"Filled at {start}" if reasons.work.started_at else f"If you fill {them} at {start}"
    if lasts.lasting is Lasting.UNLIMITED:
        return f"They are needed until {until}. You can fill them as early as you like."
    if lasts.lasting is Lasting.LOOKS:
        said = f"They are needed until {until}. {filled}, they use {_share_used(lasts, formats, ' of that time')}."
        return f"{said} So fill them at {at(earliest)} or later." if earliest else said
    said = (
        f"We promise that {odds_words(lasts.certainty)}, {promised_words(lasts.promise)} still up at {until}."
        f" So {they} may use {formats.percent(lasts.may_use)} of {their} float time. {filled}, {they} {use}"
        f" {_share_used(lasts, formats)}."
    )
    if earliest is None:
        return said
    if lasts.uses > lasts.may_use:
        return f"{said} To last, {they} must be filled at {at(earliest)} or later."
    if lasts.floats_from is None or earliest > lasts.floats_from:
        is_lit = "is" if lasts.promise.of == 1 else "are"
        return f"{said} If you fill {them} before {at(earliest)}, {they} {is_lit} in the light for too long."
    return f"{said} If you fill {them} before {at(earliest)}, {they} {use} too much."


def _pronouns(lasts: FloatReason) -> tuple[str, str, str, str]:
    """Returns what stands for the balloons of a promise: “they”, “them”, “their”, and their “use”."""
    return ("it", "it", "its", "uses") if lasts.promise.of == 1 else ("they", "them", "their", "use")


def _earliest_safe_start(reasons: TimeReasons, now: datetime) -> datetime | None:
    """Returns the earliest start with which they last; None if it has passed or no longer matters. At the venue it
    is told with the crew, unless the crew must start before it."""
    work = reasons.work
    if work.started_at or work.not_before is None or work.not_before <= now:
        return None
    return None if work.at_venue and not work.window.is_empty else work.not_before


def _opening(work: WorkReason, now: datetime) -> datetime | None:
    """Returns when the shop opens; None if that has passed, or if it is open at the earliest safe start."""
    earliest = work.window.earliest if work.opens_later else None
    return earliest if earliest and earliest > now else None


def _share_used(lasts: FloatReason, formats: Formats, whose: str = "") -> str:
    """Returns the share that is used: rounded down like the one that may be used, but up if it is more. whose: of
    what it is a share, if that was not said just before."""
    if math.isinf(lasts.uses):
        return "all"
    if lasts.uses <= lasts.may_use:
        return f"{formats.percent(lasts.uses)}{whose}"
    return f"{formats.percent(math.ceil(lasts.uses * 100 - 1e-9) / 100)}{whose}, which is too much"


def _bench(reasons: TimeReasons, formats: Formats, at: At, opening: datetime | None) -> str:
    work = reasons.work
    takes = f"Filling takes one person {formats.duration(work.work)}"
    closed = ", because the shop is closed in between" if reasons.closed_between else ""
    if work.started_at:
        return (
            f"{takes}. Filling started at {at(work.started_at)}; the latest start was {at(work.window.inflate_by)}."
        )
    if work.at_venue:
        first = (
            f", from {at(work.not_before)} at the earliest" if work.not_before and not work.window.is_empty else ""
        )
        return f"A crew fills them at the venue{first}. {takes}, so start by {at(work.window.inflate_by)}."
    said = [f"{takes}, so the latest start is {at(work.alone_by)}{closed}."]
    if work.window.inflate_by < work.alone_by:
        said.append(f"Other work needs the bench too, so start by {at(work.window.inflate_by)}.")
    elif work.window.inflate_by > work.alone_by:
        said.append(f"Several people work on it, so {at(work.window.inflate_by)} is early enough.")
    if work.order_by and work.order_by < work.window.inflate_by:
        said.append(f"If one person fills the whole order, they must start by {at(work.order_by)}.")
    if opening:
        said.append(f"The shop opens at {at(opening)}, so start no earlier.")
    return " ".join(said)


def _finishing(finishing: FinishingReason, formats: Formats, at: At) -> str:
    dry = f"Drying takes {formats.duration(finishing.drying)}. " if finishing.drying else ""
    since = f" and must start by {at(finishing.starts_by)}" if finishing.starts_by else ""
    takes = f"Assembly, tying and bagging take {formats.duration(finishing.finishing)}{since}"
    return f"{dry}{takes}, so that the order is ready by {at(finishing.ready_by)}."
