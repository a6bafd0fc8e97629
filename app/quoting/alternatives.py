"""What to offer instead, for a line that is not safe. Each alternative is calculated in full before it is
offered."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import StrEnum

from app.physics.balloon import Gas
from app.physics.material import Material
from app.planning.finishing import Fit
from app.planning.shoptime import step_down
from app.planning.window import Verdict, worst
from app.quoting.allergy import avoids_latex
from app.quoting.catalogue import BalloonOffer, Catalogue
from app.quoting.errors import Refused
from app.quoting.later_times import in_one_part, requests_at_later_times, requests_with_later_latex, with_line
from app.quoting.quote import Quote
from app.quoting.request import HandOver, OrderRequest
from app.quoting.shop import Shop, TripDefaults


class AlternativeChange(StrEnum):
    """What an alternative changes, in the order in which equally cheap ones are offered."""

    TREAT = "treat"
    LATER = "later"
    LATER_PART = "later-part"
    VENUE = "venue"
    LARGER = "larger"
    MATERIAL = "material"
    AIR = "air"


@dataclass(frozen=True, slots=True)
class Alternative:
    """An alternative for one line, with the whole order quoted. line: its place, from 0; None if it is for the sake
    of the bench. fit: whether the bench can make it along with the others; None if the bench was not asked.
    material: only for MATERIAL, what is offered in place of the line's."""

    change: AlternativeChange
    line: int | None
    quote: Quote
    costs_minor: int
    fit: Fit | None = None
    material: Material | None = None

    @property
    def key(self) -> str:
        """The key that no other alternative of the line has."""
        return self.material or self.change


QuoteFunction = Callable[[OrderRequest], Quote]
"""Returns the quote of a request, with its times checked; all else was passed in before. Raises Refused."""


def line_verdict(quote: Quote, line_index: int) -> Verdict:
    """Returns the worst verdict of the line's batches."""
    return worst(batch.window.verdict for batch in quote.batches_of(quote.lines[line_index]))


def find_alternatives(
    quote: Quote, quote_for: QuoteFunction, shop: Shop, catalogue: Catalogue, now: datetime
) -> list[Alternative]:
    """Returns what would make each line safe that is not, the cheapest first. For a line with latex in an order
    with a latex allergy, it returns only what has no latex."""
    found = [
        Alternative(change, line_index, better, better.total_minor - quote.total_minor, material=material)
        for line_index in range(len(quote.lines))
        for change, material, better in _ways_for(quote, line_index, quote_for, shop, catalogue, now)
    ]
    return sorted(
        found,
        key=lambda alternative: (
            alternative.line or 0,
            alternative.costs_minor,
            list(AlternativeChange).index(alternative.change),
        ),
    )


def _ways_for(
    quote: Quote, line_index: int, quote_for: QuoteFunction, shop: Shop, catalogue: Catalogue, now: datetime
) -> Iterator[tuple[AlternativeChange, Material | None, Quote]]:
    if avoids_latex(quote, line_index):
        yield from _ways_without_latex(quote, line_index, quote_for, catalogue)
    elif line_verdict(quote, line_index) is not Verdict.SAFE:
        yield from _ways(quote, line_index, quote_for, shop, catalogue, now)


def _ways_without_latex(
    quote: Quote, line_index: int, quote_for: QuoteFunction, catalogue: Catalogue
) -> Iterator[tuple[AlternativeChange, Material | None, Quote]]:
    """Yields of each material without latex the first quote that is safe, else the best that is no worse than the
    line."""
    allowed = [verdict for verdict in Verdict if verdict.rank <= line_verdict(quote, line_index).rank]
    for material in (one for one in Material if one.traits.offered_instead and not one.traits.contains_latex):
        requests = _of_material(quote.request, line_index, catalogue, material, quote.request.lines[line_index].gas)
        tries = (better for request in requests if (better := _quote_unless_refused(request, quote_for)))
        if best := _safe_or_best(tries, line_index, allowed):
            yield AlternativeChange.MATERIAL, material, best


def _safe_or_best(tries: Iterator[Quote], line_index: int, allowed: Sequence[Verdict]) -> Quote | None:
    """Returns the first that is safe; if none is, the first with the best of the allowed verdicts."""
    found: dict[Verdict, Quote] = {}
    for better in tries:
        verdict = line_verdict(better, line_index)
        if verdict is Verdict.SAFE:
            return better
        found.setdefault(verdict, better)
    return next((found[verdict] for verdict in allowed if verdict in found), None)


def _ways(
    quote: Quote, line_index: int, quote_for: QuoteFunction, shop: Shop, catalogue: Catalogue, now: datetime
) -> Iterator[tuple[AlternativeChange, Material | None, Quote]]:
    """Yields of each change the first alternative that works; some kinds are tried with several sizes or times."""
    materials = [material for material in Material if material.traits.offered_instead]
    for change, material, tries in (
        (AlternativeChange.TREAT, None, with_treatment(quote.request, line_index)),
        (AlternativeChange.LATER, None, requests_at_later_times(quote, line_index, shop, now)),
        (AlternativeChange.LATER_PART, None, requests_with_later_latex(quote, line_index, shop, now)),
        (AlternativeChange.VENUE, None, requests_at_venue(quote, shop)),
        (AlternativeChange.LARGER, None, _larger(quote.request, line_index, catalogue)),
        *(
            (AlternativeChange.MATERIAL, one, _of_material(quote.request, line_index, catalogue, one))
            for one in materials
        ),
        (AlternativeChange.AIR, None, _in_air(quote.request, line_index, catalogue)),
    ):
        works = (better for request in tries if (better := _safe(request, line_index, quote_for)))
        if first := next(works, None):
            yield change, material, first


def _safe(request: OrderRequest, line_index: int, quote_for: QuoteFunction) -> Quote | None:
    """Returns the quote of that request if it makes the line safe, else None."""
    better = _quote_unless_refused(request, quote_for)
    return better if better and line_verdict(better, line_index) is Verdict.SAFE else None


def _quote_unless_refused(request: OrderRequest, quote_for: QuoteFunction) -> Quote | None:
    """Returns the quote of that request; None if the request is refused."""
    try:
        return quote_for(request)
    except Refused:
        return None


def with_treatment(request: OrderRequest, line_index: int) -> Iterator[OrderRequest]:
    """Yields the request with the line treated, if it is filled with helium and not treated yet."""
    line = request.lines[line_index]
    if not line.treated and line.gas is Gas.HELIUM:
        yield with_line(request, line_index, replace(line, treated=True))


def requests_at_venue(quote: Quote, shop: Shop) -> Iterator[OrderRequest]:
    """Yields the order filled at the venue, with the crew let in on the shop's step, as late as leaves one person
    time for all of it."""
    request = quote.request
    if request.event_start is None:
        return
    at_venue = request if request.hand_over is HandOver.VENUE else _with_crew(request, shop.trip)
    fills = [batch.fill for batch in quote.batches]
    work = (
        sum((fill.work for fill in fills), timedelta()) + max(fill.drying_time for fill in fills) + quote.finishing
    )
    busy = timedelta(minutes=at_venue.set_up_minutes + at_venue.hanging_minutes) + work
    for earlier in range(3):  # the air at the venue may take more litres, so filling may take a little longer
        latest = request.event_start - busy - timedelta(minutes=earlier * shop.step_minutes)
        access = step_down(latest, shop.step_minutes, shop.zone)
        leaves = access - timedelta(minutes=at_venue.travel_minutes)
        yield replace(at_venue, ready_by=leaves, arrives_at=access)


def _with_crew(request: OrderRequest, usual: TripDefaults) -> OrderRequest:
    return replace(
        in_one_part(request),
        hand_over=HandOver.VENUE,
        travel_minutes=request.travel_minutes or usual.venue_travel_minutes,
        set_up_minutes=usual.set_up_minutes,
        hanging_minutes=usual.hanging_minutes,
        crew=usual.crew,
    )


def _balloon_type_of(request: OrderRequest, line_index: int, catalogue: Catalogue) -> BalloonOffer | None:
    return catalogue.balloon_types.get(request.lines[line_index].balloon_type_id or 0)


def _larger(request: OrderRequest, line_index: int, catalogue: Catalogue) -> Iterator[OrderRequest]:
    """Yields the next larger balloon types of its material, if the float time follows from the size."""
    balloon_type = _balloon_type_of(request, line_index, catalogue)
    if balloon_type is None or request.lines[line_index].gas is Gas.AIR:
        return
    material = balloon_type.material
    if not material.traits.hours_are_computed:
        return
    sizes = (row for row in catalogue.offered_types if row.material is material and not row.air_only)
    for row in sorted(sizes, key=lambda row: row.nominal_in):
        if row.nominal_in > balloon_type.nominal_in:
            yield with_line(request, line_index, replace(request.lines[line_index], balloon_type_id=row.id))


def _of_material(
    request: OrderRequest, line_index: int, catalogue: Catalogue, material: Material, gas: Gas = Gas.HELIUM
) -> Iterator[OrderRequest]:
    """Yields the balloon types of the material, the cheapest first, untreated; none for a line that has such a
    material."""
    balloon_type = _balloon_type_of(request, line_index, catalogue)
    if balloon_type is None or balloon_type.material.traits.offered_instead:
        return
    rows = (row for row in catalogue.offered_types if row.material is material)
    for row in sorted(rows, key=lambda row: row.price_minor):
        if row.air_only and gas is Gas.HELIUM:
            continue
        line = replace(request.lines[line_index], balloon_type_id=row.id, treated=False, gas=gas)
        yield with_line(request, line_index, line)


def _in_air(request: OrderRequest, line_index: int, catalogue: Catalogue) -> Iterator[OrderRequest]:
    """Yields the line filled with air, on a base or a stick, so that it need not float."""
    if _balloon_type_of(request, line_index, catalogue) and request.lines[line_index].gas is Gas.HELIUM:
        yield with_line(request, line_index, replace(request.lines[line_index], gas=Gas.AIR, treated=False))
