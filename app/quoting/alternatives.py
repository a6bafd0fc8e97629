"""What to do instead, for a line that is not safe: each way is worked out in full before it is offered."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import StrEnum

from app.actions.errors import Refused
from app.actions.records.shop import Goods, Shop, TripHabits
from app.physics.balloon import Gas, Material
from app.planning.finishing import Fit
from app.planning.shoptime import step_down, step_up
from app.planning.window import Leg, Verdict, not_before
from app.quoting.quote import WORST_FIRST, Quote
from app.quoting.request import HandOver, LineWish, OrderWish
from app.store.models import KindRow
from app.store.types import EPOCH

FURTHEST = timedelta(days=7)
"""A later collection is looked for no further than this."""


class Way(StrEnum):
    TREAT = "treat"
    LATER = "later"
    LATER_PART = "later-part"
    VENUE = "venue"
    LARGER = "larger"
    FOIL = "foil"
    SPHERE = "sphere"
    AIR = "air"


@dataclass(frozen=True, slots=True)
class Remedy:
    """A way out for one line (its place counts from 0), or for the sake of the bench (None), and the whole order
    worked out with it. fit: what the bench says to that beside the others; None where it was not asked."""

    way: Way
    line: int | None
    answer: Quote
    costs_minor: int
    fit: Fit | None = None


Ask = Callable[[OrderWish], Quote]
"""A quote, hours checked, with everything but the wish passed in before. Raises Refused."""


def line_verdict(answer: Quote, place: int) -> Verdict:
    """The worst of the line's batches; NO for every line when the bench is too late."""
    if answer.late:
        return Verdict.NO
    verdicts = {batch.window.verdict for batch in answer.batches_of(answer.lines[place])}
    return next((verdict for verdict in WORST_FIRST if verdict in verdicts), Verdict.SAFE)


def remedies(answer: Quote, ask: Ask, shop: Shop, goods: Goods, now: datetime) -> list[Remedy]:
    """For every line that is not safe, what would make it safe, the cheapest first; nothing that does not help."""
    found = [
        Remedy(way, place, better, better.total_minor - answer.total_minor)
        for place in range(len(answer.lines))
        if line_verdict(answer, place) is not Verdict.SAFE
        for way, better in _ways(answer, place, ask, shop, goods, now)
    ]
    return sorted(found, key=lambda remedy: (remedy.line or 0, remedy.costs_minor, list(Way).index(remedy.way)))


def _ways(
    answer: Quote, place: int, ask: Ask, shop: Shop, goods: Goods, now: datetime
) -> Iterator[tuple[Way, Quote]]:
    """Of each way the first that works; a way may be tried at several sizes or hours."""
    for way, tries in (
        (Way.TREAT, treated(answer.wish, place)),
        (Way.LATER, _later(answer, place, shop, now)),
        (Way.LATER_PART, _later_part(answer, place, shop, now)),
        (Way.VENUE, at_venue(answer, shop)),
        (Way.LARGER, _larger(answer.wish, place, goods)),
        (Way.FOIL, _film(answer.wish, place, goods, Material.FOIL)),
        (Way.SPHERE, _film(answer.wish, place, goods, Material.SPHERE)),
        (Way.AIR, _in_air(answer.wish, place, goods)),
    ):
        works = (better for wish in tries if (better := _safe(wish, place, ask)))
        if first := next(works, None):
            yield way, first


def _safe(wish: OrderWish, place: int, ask: Ask) -> Quote | None:
    """The quote of that wish when it makes the line safe."""
    try:
        better = ask(wish)
    except Refused:
        return None
    return better if line_verdict(better, place) is Verdict.SAFE else None


def _with_line(wish: OrderWish, place: int, line: LineWish) -> OrderWish:
    return replace(wish, lines=(*wish.lines[:place], line, *wish.lines[place + 1 :]))


def treated(wish: OrderWish, place: int) -> Iterator[OrderWish]:
    line = wish.lines[place]
    if not line.treated and line.gas is Gas.HELIUM:
        yield _with_line(wish, place, replace(line, treated=True))


def _later(answer: Quote, place: int, shop: Shop, now: datetime) -> Iterator[OrderWish]:
    """The whole order at every later hour up to the event."""
    for at in _later_hours(answer, place, shop, now):
        later_at = answer.wish.later_at
        wish = answer.wish if later_at and later_at > at else _all_together(answer.wish)
        yield replace(wish, ready_by=at, arrives_at=_arrival(wish, at))


def _all_together(wish: OrderWish) -> OrderWish:
    return replace(wish, later_at=None, lines=tuple(replace(line, later=False) for line in wish.lines))


def _later_part(answer: Quote, place: int, shop: Shop, now: datetime) -> Iterator[OrderWish]:
    """The line's latex at every later hour up to the event, while something is left to leave as agreed."""
    wish, line = answer.wish, answer.wish.lines[place]
    moved = _with_line(wish, place, replace(line, later=True))
    for at in _later_hours(answer, place, shop, now):
        if not line.later or at > (wish.later_at or at):
            yield replace(moved, later_at=at)


def later_wishes(answer: Quote, shop: Shop, now: datetime) -> list[OrderWish]:
    """The whole order at every later hour up to the event, whether or not that helps."""
    hours = _hours_after(answer, shop, now)
    return [replace(_all_together(answer.wish), ready_by=at, arrives_at=_arrival(answer.wish, at)) for at in hours]


def _later_hours(answer: Quote, place: int, shop: Shop, now: datetime) -> Iterator[datetime]:
    step = timedelta(minutes=shop.step_minutes)
    return _hours_after(answer, shop, max(now, _never_ready_before(answer, place, shop) - step))


def _hours_after(answer: Quote, shop: Shop, earliest: datetime) -> Iterator[datetime]:
    """Every hour on the shop's step, after the agreed one, at which it is open and the event has not begun."""
    wish = answer.wish
    latest = wish.event_start or wish.lasts_until
    if wish.ready_by is None or latest is None or wish.hand_over is HandOver.VENUE:
        return
    travel = timedelta(minutes=wish.travel_minutes)
    step = timedelta(minutes=shop.step_minutes)
    at = step_up(max(wish.ready_by + timedelta(minutes=1), earliest), shop.step_minutes, shop.zone)
    while at + travel <= min(latest, wish.ready_by + FURTHEST):
        if shop.opening.is_open(at - timedelta(minutes=1)):
            yield at
        at = step_up(at + step, shop.step_minutes, shop.zone)


def _never_ready_before(answer: Quote, place: int, shop: Shop) -> datetime:
    """An hour before which the line cannot be ready and safe, even if all its hours passed in its kindest place.

    Saves working out hundreds of hours in full.
    """
    earliest = EPOCH
    for batch in answer.batches_of(answer.lines[place]):
        kindest = Leg(batch.legs[-1].ends, min(leg.pace for leg in batch.legs))
        begins = not_before([kindest], batch.fill.endurance, shop.certainty.safe)
        if begins:
            earliest = max(earliest, begins + batch.fill.work + batch.fill.dries + answer.tail)
    return earliest


def _arrival(wish: OrderWish, leaves_at: datetime) -> datetime | None:
    delivered = wish.hand_over is HandOver.DELIVER
    return leaves_at + timedelta(minutes=wish.travel_minutes) if delivered else None


def at_venue(answer: Quote, shop: Shop) -> Iterator[OrderWish]:
    """Let in on the shop's step, as late as leaves one hand time for all of it."""
    wish = answer.wish
    if wish.event_start is None:
        return
    there = wish if wish.hand_over is HandOver.VENUE else _with_crew(wish, shop.trip)
    fills = [batch.fill for batch in answer.batches]
    work = sum((fill.work for fill in fills), timedelta()) + max(fill.dries for fill in fills) + answer.tail
    busy = timedelta(minutes=there.set_up_minutes + there.hanging_minutes) + work
    for earlier in range(3):  # other air than the shop's may take other litres, so a little longer
        latest = wish.event_start - busy - timedelta(minutes=earlier * shop.step_minutes)
        access = step_down(latest, shop.step_minutes, shop.zone)
        leaves = access - timedelta(minutes=there.travel_minutes)
        yield replace(there, ready_by=leaves, arrives_at=access)


def _with_crew(wish: OrderWish, usual: TripHabits) -> OrderWish:
    return replace(
        _all_together(wish),
        hand_over=HandOver.VENUE,
        travel_minutes=wish.travel_minutes or usual.venue_travel_minutes,
        set_up_minutes=usual.set_up_minutes,
        hanging_minutes=usual.hanging_minutes,
        crew=usual.crew,
    )


def _kind_of(wish: OrderWish, place: int, goods: Goods) -> KindRow | None:
    return goods.kinds.get(wish.lines[place].kind_id or 0)


def _larger(wish: OrderWish, place: int, goods: Goods) -> Iterator[OrderWish]:
    kind = _kind_of(wish, place, goods)
    if kind is None or kind.material != Material.LATEX or wish.lines[place].gas is Gas.AIR:
        return
    sizes = (row for row in goods.kinds_offered if row.material == Material.LATEX and not row.air_only)
    for row in sorted(sizes, key=lambda row: row.nominal_in):
        if row.nominal_in > kind.nominal_in:
            yield _with_line(wish, place, replace(wish.lines[place], kind_id=row.id))


def _film(wish: OrderWish, place: int, goods: Goods, material: Material) -> Iterator[OrderWish]:
    """The cheapest foil or sphere first, untreated."""
    kind = _kind_of(wish, place, goods)
    if kind is None or kind.material != Material.LATEX:
        return
    films = (row for row in goods.kinds_offered if row.material == material and not row.air_only)
    for row in sorted(films, key=lambda row: row.price_minor):
        line = replace(wish.lines[place], kind_id=row.id, treated=False, gas=Gas.HELIUM)
        yield _with_line(wish, place, line)


def _in_air(wish: OrderWish, place: int, goods: Goods) -> Iterator[OrderWish]:
    """On a base or a stick, so that it need not float."""
    if _kind_of(wish, place, goods) and wish.lines[place].gas is Gas.HELIUM:
        yield _with_line(wish, place, replace(wish.lines[place], gas=Gas.AIR, treated=False))
