"""What to do instead, for a line that is not safe: each way is worked out in full before it is offered."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import StrEnum

from app.actions.errors import Refused
from app.actions.quote import WORST_FIRST, Quote
from app.actions.shop import Goods, Shop
from app.actions.wish import HandOver, LineWish, OrderWish
from app.physics.balloon import Gas, Material
from app.planning.shoptime import step_up
from app.planning.window import Verdict
from app.store.models import KindRow

FURTHEST = timedelta(days=7)
"""A later collection is looked for no further than this."""


class Way(StrEnum):
    TREAT = "treat"
    LATER = "later"
    LARGER = "larger"
    FOIL = "foil"
    SPHERE = "sphere"
    AIR = "air"


@dataclass(frozen=True, slots=True)
class Remedy:
    """A way out for one line (its place counts from 0), and the whole order worked out with it."""

    way: Way
    line: int
    answer: Quote
    costs_minor: int

    @property
    def wish(self) -> LineWish:
        return self.answer.wish.lines[self.line]


Ask = Callable[[OrderWish], Quote]
"""A quote, hours checked, with everything but the wish passed in before. Raises Refused."""


def line_verdict(answer: Quote, place: int) -> Verdict:
    """The worst of the line's batches; NO for every line when the bench is too late."""
    if answer.ready_at:
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
    return sorted(found, key=lambda remedy: (remedy.line, remedy.costs_minor, list(Way).index(remedy.way)))


def _ways(
    answer: Quote, place: int, ask: Ask, shop: Shop, goods: Goods, now: datetime
) -> Iterator[tuple[Way, Quote]]:
    """Of each way the first that works; a way may be tried at several sizes or hours."""
    for way, tries in (
        (Way.TREAT, _treated(answer.wish, place)),
        (Way.LATER, _later(answer, shop, now)),
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


def _treated(wish: OrderWish, place: int) -> Iterator[OrderWish]:
    line = wish.lines[place]
    if not line.treated and line.gas is Gas.HELIUM:
        yield _with_line(wish, place, replace(line, treated=True))


def _later(answer: Quote, shop: Shop, now: datetime) -> Iterator[OrderWish]:
    """Every later hour on the shop's step at which it is open, up to the event."""
    wish = answer.wish
    latest = wish.event_start or wish.lasts_until
    if wish.ready_by is None or latest is None:
        return
    travel = timedelta(minutes=wish.travel_minutes)
    step = timedelta(minutes=shop.step_minutes)
    at = step_up(max(wish.ready_by + timedelta(minutes=1), now), shop.step_minutes, shop.zone)
    while at + travel <= min(latest, wish.ready_by + FURTHEST):
        if shop.opening.is_open(at - timedelta(minutes=1)):
            delivered = wish.hand_over is HandOver.DELIVER
            yield replace(wish, ready_by=at, arrives_at=at + travel if delivered else None)
        at = step_up(at + step, shop.step_minutes, shop.zone)


def _kind_of(wish: OrderWish, place: int, goods: Goods) -> KindRow | None:
    return goods.kinds.get(wish.lines[place].kind_id or 0)


def _larger(wish: OrderWish, place: int, goods: Goods) -> Iterator[OrderWish]:
    kind = _kind_of(wish, place, goods)
    if kind is None or kind.material != Material.LATEX or wish.lines[place].gas is Gas.AIR:
        return
    sizes = (row for row in goods.kinds.values() if row.material == Material.LATEX and not row.air_only)
    for row in sorted(sizes, key=lambda row: row.nominal_in):
        if row.nominal_in > kind.nominal_in:
            yield _with_line(wish, place, replace(wish.lines[place], kind_id=row.id))


def _film(wish: OrderWish, place: int, goods: Goods, material: Material) -> Iterator[OrderWish]:
    """The cheapest foil or sphere first, untreated."""
    kind = _kind_of(wish, place, goods)
    if kind is None or kind.material != Material.LATEX:
        return
    films = (row for row in goods.kinds.values() if row.material == material and not row.air_only)
    for row in sorted(films, key=lambda row: row.price_minor):
        line = replace(wish.lines[place], kind_id=row.id, treated=False, gas=Gas.HELIUM)
        yield _with_line(wish, place, line)


def _in_air(wish: OrderWish, place: int, goods: Goods) -> Iterator[OrderWish]:
    """On a base or a stick, so that it need not float."""
    if _kind_of(wish, place, goods) and wish.lines[place].gas is Gas.HELIUM:
        yield _with_line(wish, place, replace(wish.lines[place], gas=Gas.AIR, treated=False))
