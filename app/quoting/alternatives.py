"""What to do instead, for a line that is not safe: each way is worked out in full before it is offered."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import StrEnum

from app.physics.balloon import Gas
from app.physics.material import Material
from app.planning.finishing import Fit
from app.planning.moments import EPOCH
from app.planning.shoptime import step_down, step_up
from app.planning.window import Leg, Verdict, not_before
from app.quoting.allergy import avoids_latex
from app.quoting.catalogue import BalloonOffer, Catalogue
from app.quoting.errors import Refused
from app.quoting.quote import WORST_FIRST, Quote
from app.quoting.request import HandOver, LineRequest, OrderRequest
from app.quoting.shop import Shop, TripDefaults

FURTHEST = timedelta(days=7)
"""A later collection is looked for no further than this."""


class AlternativeKind(StrEnum):
    TREAT = "treat"
    LATER = "later"
    LATER_PART = "later-part"
    VENUE = "venue"
    LARGER = "larger"
    MATERIAL = "material"
    AIR = "air"


@dataclass(frozen=True, slots=True)
class Alternative:
    """A way out for one line (its place counts from 0), or for the sake of the bench (None), and the whole order
    worked out with it. fit: what the bench says to that beside the others; None where it was not asked.
    material: of MATERIAL alone, what is offered in place of the line's."""

    kind: AlternativeKind
    line: int | None
    quote: Quote
    costs_minor: int
    fit: Fit | None = None
    material: Material | None = None

    @property
    def key(self) -> str:
        """Tells the alternatives of one line apart."""
        return self.material or self.kind


Ask = Callable[[OrderRequest], Quote]
"""A quote, hours checked, with everything but the request passed in before. Raises Refused."""


def line_verdict(quote: Quote, place: int) -> Verdict:
    """The worst of the line's batches; NO for every line when the bench is too late."""
    if quote.late:
        return Verdict.WONT_LAST
    verdicts = {batch.window.verdict for batch in quote.batches_of(quote.lines[place])}
    return next((verdict for verdict in WORST_FIRST if verdict in verdicts), Verdict.SAFE)


def find_alternatives(quote: Quote, ask: Ask, shop: Shop, catalogue: Catalogue, now: datetime) -> list[Alternative]:
    """For every line that is not safe, what would make it safe, the cheapest first; nothing that does not help. For
    a line with latex in an order with a latex allergy, only what has no latex."""
    found = [
        Alternative(kind, place, better, better.total_minor - quote.total_minor, material=material)
        for place in range(len(quote.lines))
        for kind, material, better in _ways_for(quote, place, ask, shop, catalogue, now)
    ]
    return sorted(
        found,
        key=lambda alternative: (
            alternative.line or 0,
            alternative.costs_minor,
            list(AlternativeKind).index(alternative.kind),
        ),
    )


def _ways_for(
    quote: Quote, place: int, ask: Ask, shop: Shop, catalogue: Catalogue, now: datetime
) -> Iterator[tuple[AlternativeKind, Material | None, Quote]]:
    if avoids_latex(quote, place):
        yield from _ways_without_latex(quote, place, ask, catalogue)
    elif line_verdict(quote, place) is not Verdict.SAFE:
        yield from _ways(quote, place, ask, shop, catalogue, now)


def _ways_without_latex(
    quote: Quote, place: int, ask: Ask, catalogue: Catalogue
) -> Iterator[tuple[AlternativeKind, Material | None, Quote]]:
    """Of each material without latex the first that is safe, else the best that floats no worse than the line."""
    least = WORST_FIRST.index(line_verdict(quote, place))
    for material in (one for one in Material if one.traits.offered_instead and not one.traits.contains_latex):
        requests = _of_material(quote.request, place, catalogue, material, quote.request.lines[place].gas)
        tries = (better for request in requests if (better := _asked(request, ask)))
        if best := _safe_or_best(tries, place, WORST_FIRST[least:]):
            yield AlternativeKind.MATERIAL, material, best


def _safe_or_best(tries: Iterator[Quote], place: int, allowed: Sequence[Verdict]) -> Quote | None:
    """The first that is safe; where none is, the first with the best of the allowed verdicts, the worst first."""
    found: dict[Verdict, Quote] = {}
    for better in tries:
        verdict = line_verdict(better, place)
        if verdict is Verdict.SAFE:
            return better
        found.setdefault(verdict, better)
    return next((found[verdict] for verdict in reversed(allowed) if verdict in found), None)


def _ways(
    quote: Quote, place: int, ask: Ask, shop: Shop, catalogue: Catalogue, now: datetime
) -> Iterator[tuple[AlternativeKind, Material | None, Quote]]:
    """Of each way the first that works; a way may be tried at several sizes or hours."""
    materials = [material for material in Material if material.traits.offered_instead]
    for kind, material, tries in (
        (AlternativeKind.TREAT, None, treated(quote.request, place)),
        (AlternativeKind.LATER, None, _later(quote, place, shop, now)),
        (AlternativeKind.LATER_PART, None, _later_part(quote, place, shop, now)),
        (AlternativeKind.VENUE, None, at_venue(quote, shop)),
        (AlternativeKind.LARGER, None, _larger(quote.request, place, catalogue)),
        *((AlternativeKind.MATERIAL, one, _of_material(quote.request, place, catalogue, one)) for one in materials),
        (AlternativeKind.AIR, None, _in_air(quote.request, place, catalogue)),
    ):
        works = (better for request in tries if (better := _safe(request, place, ask)))
        if first := next(works, None):
            yield kind, material, first


def _safe(request: OrderRequest, place: int, ask: Ask) -> Quote | None:
    """The quote of that request when it makes the line safe."""
    better = _asked(request, ask)
    return better if better and line_verdict(better, place) is Verdict.SAFE else None


def _asked(request: OrderRequest, ask: Ask) -> Quote | None:
    """The quote of that request; None where it is refused."""
    try:
        return ask(request)
    except Refused:
        return None


def _with_line(request: OrderRequest, place: int, line: LineRequest) -> OrderRequest:
    return replace(request, lines=(*request.lines[:place], line, *request.lines[place + 1 :]))


def treated(request: OrderRequest, place: int) -> Iterator[OrderRequest]:
    line = request.lines[place]
    if not line.treated and line.gas is Gas.HELIUM:
        yield _with_line(request, place, replace(line, treated=True))


def _later(quote: Quote, place: int, shop: Shop, now: datetime) -> Iterator[OrderRequest]:
    """The whole order at every later hour up to the event."""
    for at in _later_hours(quote, place, shop, now):
        later_at = quote.request.later_at
        request = quote.request if later_at and later_at > at else _all_together(quote.request)
        yield replace(request, ready_by=at, arrives_at=_arrival(request, at))


def _all_together(request: OrderRequest) -> OrderRequest:
    return replace(request, later_at=None, lines=tuple(replace(line, later=False) for line in request.lines))


def _later_part(quote: Quote, place: int, shop: Shop, now: datetime) -> Iterator[OrderRequest]:
    """The line's latex at every later hour up to the event, while something is left to leave as agreed."""
    request, line = quote.request, quote.request.lines[place]
    moved = _with_line(request, place, replace(line, later=True))
    for at in _later_hours(quote, place, shop, now):
        if not line.later or at > (request.later_at or at):
            yield replace(moved, later_at=at)


def later_requests(quote: Quote, shop: Shop, now: datetime) -> list[OrderRequest]:
    """The whole order at every later hour up to the event, whether or not that helps."""
    hours = _hours_after(quote, shop, now)
    return [
        replace(_all_together(quote.request), ready_by=at, arrives_at=_arrival(quote.request, at)) for at in hours
    ]


def _later_hours(quote: Quote, place: int, shop: Shop, now: datetime) -> Iterator[datetime]:
    step = timedelta(minutes=shop.step_minutes)
    return _hours_after(quote, shop, max(now, _never_ready_before(quote, place, shop) - step))


def _hours_after(quote: Quote, shop: Shop, earliest: datetime) -> Iterator[datetime]:
    """Every hour on the shop's step, after the agreed one, at which it is open and the event has not begun."""
    request = quote.request
    latest = request.event_start or request.lasts_until
    if request.ready_by is None or latest is None or request.hand_over is HandOver.VENUE:
        return
    travel = timedelta(minutes=request.travel_minutes)
    step = timedelta(minutes=shop.step_minutes)
    at = step_up(max(request.ready_by + timedelta(minutes=1), earliest), shop.step_minutes, shop.zone)
    while at + travel <= min(latest, request.ready_by + FURTHEST):
        if shop.opening.is_open(at - timedelta(minutes=1)):
            yield at
        at = step_up(at + step, shop.step_minutes, shop.zone)


def _never_ready_before(quote: Quote, place: int, shop: Shop) -> datetime:
    """An hour before which the line cannot be ready and safe, even if all its hours passed in its kindest place.

    Saves working out hundreds of hours in full.
    """
    earliest = EPOCH
    for batch in quote.batches_of(quote.lines[place]):
        kindest = Leg(batch.legs[-1].ends, min(leg.loss_rate for leg in batch.legs))
        begins = not_before([kindest], batch.fill.endurance, shop.certainty.safe)
        if begins:
            earliest = max(earliest, begins + batch.fill.work + batch.fill.dries + quote.finishing)
    return earliest


def _arrival(request: OrderRequest, leaves_at: datetime) -> datetime | None:
    delivered = request.hand_over is HandOver.DELIVER
    return leaves_at + timedelta(minutes=request.travel_minutes) if delivered else None


def at_venue(quote: Quote, shop: Shop) -> Iterator[OrderRequest]:
    """Let in on the shop's step, as late as leaves one hand time for all of it."""
    request = quote.request
    if request.event_start is None:
        return
    there = request if request.hand_over is HandOver.VENUE else _with_crew(request, shop.trip)
    fills = [batch.fill for batch in quote.batches]
    work = sum((fill.work for fill in fills), timedelta()) + max(fill.dries for fill in fills) + quote.finishing
    busy = timedelta(minutes=there.set_up_minutes + there.hanging_minutes) + work
    for earlier in range(3):  # other air than the shop's may take other litres, so a little longer
        latest = request.event_start - busy - timedelta(minutes=earlier * shop.step_minutes)
        access = step_down(latest, shop.step_minutes, shop.zone)
        leaves = access - timedelta(minutes=there.travel_minutes)
        yield replace(there, ready_by=leaves, arrives_at=access)


def _with_crew(request: OrderRequest, usual: TripDefaults) -> OrderRequest:
    return replace(
        _all_together(request),
        hand_over=HandOver.VENUE,
        travel_minutes=request.travel_minutes or usual.venue_travel_minutes,
        set_up_minutes=usual.set_up_minutes,
        hanging_minutes=usual.hanging_minutes,
        crew=usual.crew,
    )


def _balloon_type_of(request: OrderRequest, place: int, catalogue: Catalogue) -> BalloonOffer | None:
    return catalogue.balloon_types.get(request.lines[place].balloon_type_id or 0)


def _larger(request: OrderRequest, place: int, catalogue: Catalogue) -> Iterator[OrderRequest]:
    """The next larger ones of its material, where the hours follow from the size."""
    balloon_type = _balloon_type_of(request, place, catalogue)
    if balloon_type is None or request.lines[place].gas is Gas.AIR:
        return
    material = balloon_type.material
    if not material.traits.hours_are_computed:
        return
    sizes = (row for row in catalogue.offered_types if row.material is material and not row.air_only)
    for row in sorted(sizes, key=lambda row: row.nominal_in):
        if row.nominal_in > balloon_type.nominal_in:
            yield _with_line(request, place, replace(request.lines[place], balloon_type_id=row.id))


def _of_material(
    request: OrderRequest, place: int, catalogue: Catalogue, material: Material, gas: Gas = Gas.HELIUM
) -> Iterator[OrderRequest]:
    """The cheapest of it first, untreated; nothing for a line that has such a material already."""
    balloon_type = _balloon_type_of(request, place, catalogue)
    if balloon_type is None or balloon_type.material.traits.offered_instead:
        return
    rows = (row for row in catalogue.offered_types if row.material is material)
    for row in sorted(rows, key=lambda row: row.price_minor):
        if row.air_only and gas is Gas.HELIUM:
            continue
        line = replace(request.lines[place], balloon_type_id=row.id, treated=False, gas=gas)
        yield _with_line(request, place, line)


def _in_air(request: OrderRequest, place: int, catalogue: Catalogue) -> Iterator[OrderRequest]:
    """On a base or a stick, so that it need not float."""
    if _balloon_type_of(request, place, catalogue) and request.lines[place].gas is Gas.HELIUM:
        yield _with_line(request, place, replace(request.lines[place], gas=Gas.AIR, treated=False))
