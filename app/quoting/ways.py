"""The ways in which an order can be asked for so that a line lasts longer. Each way yields requests; whether they
help is found by quoting them."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import StrEnum
from functools import partial

from app.craft.build import Construction
from app.physics.balloon import Gas
from app.physics.light import Surroundings
from app.physics.material import Material
from app.planning.shoptime import step_down
from app.planning.window import Limit
from app.quoting.catalogue import BalloonOffer, Catalogue, Design, Part
from app.quoting.later_times import (
    in_one_part,
    requests_at_later_times,
    requests_with_later_latex,
    with_line,
)
from app.quoting.quote import Quote
from app.quoting.recipe import construction_of, recipe_of
from app.quoting.request import HandOver, LineRequest, OrderRequest
from app.quoting.runs import BatchPlan
from app.quoting.shop import Shop, TripDefaults
from app.quoting.swaps import changed_swaps, swapped_design

TAKES_OTHER_BALLOONS = (Construction.LOOSE, Construction.BOUQUET, Construction.STRINGS, Construction.STRUNG)
"""The constructions in which other balloons can take the place of a design's own."""


class AlternativeChange(StrEnum):
    """What an alternative changes, in the order in which equally cheap ones are offered. Another material is named
    by itself. TWO: two changes together."""

    TREAT = "treat"
    LATER = "later"
    LATER_PART = "later_part"
    VENUE = "venue"
    SHADE = "shade"
    INDOORS = "indoors"
    LARGER = "larger"
    AIR = "air"
    TWO = "two"


Change = AlternativeChange | Material
"""One change; a material stands for balloons of that material in place of the line's."""


@dataclass(frozen=True, slots=True)
class AskedLine:
    """A line of a quoted order for which ways are searched. place: of the line, from 0. without_latex: whether all
    its latex must be replaced, because somebody is allergic to it."""

    quote: Quote
    place: int
    shop: Shop
    catalogue: Catalogue
    now: datetime
    without_latex: bool = False

    @property
    def request(self) -> OrderRequest:
        """The order as it is asked for."""
        return self.quote.request

    @property
    def line(self) -> LineRequest:
        """The line as it is asked for."""
        return self.request.lines[self.place]

    @property
    def batches(self) -> list[BatchPlan]:
        """The batches in which balloons of the line are."""
        return self.quote.batches_of(self.quote.lines[self.place])

    @property
    def design(self) -> Design | None:
        """The design of the line; None if it is a balloon type."""
        return self.catalogue.designs.get(self.line.design_id or 0)

    @property
    def limits(self) -> frozenset[Limit]:
        """What keeps the line from being safe."""
        return frozenset(limit for batch in self.batches for limit in batch.window.outcome.limits)

    def with_line(self, line: LineRequest) -> OrderRequest:
        """Returns the order with this line in place of its own."""
        return with_line(self.request, self.place, line)

    def must_change(self, part: Part, limits: frozenset[Limit]) -> bool:
        """Returns whether one of these limits keeps balloons like the part's from being safe, or whether they harm
        somebody."""
        if self.without_latex:
            return self.catalogue.balloon_types[part.balloon_type_id].material.traits.contains_latex
        specs = [batch.fill.spec for batch in self.batches if limits.intersection(batch.window.outcome.limits)]
        return any((spec.balloon_type_id, spec.gas) == (part.balloon_type_id, part.gas) for spec in specs)


@dataclass(frozen=True, slots=True)
class Way:
    """A way to make a line last.

    helps: the limits against which it can help. settles: what it decides; it is tried together with ways that
    decide something else, and with none if this is empty. later: whether none of its requests is less safe than
    those before it.
    """

    change: Change
    requests: Callable[[AskedLine], Iterable[OrderRequest]]
    helps: frozenset[Limit]
    settles: frozenset[str] = frozenset()
    later: bool = False


FLOATS, LIGHT = frozenset({Limit.FLOAT}), frozenset({Limit.LIGHT})
WIND = frozenset({Limit.WIND})
BALLOONS, TREATMENT, PLACE, TIME = (frozenset({what}) for what in ("balloons", "treatment", "place", "time"))


def all_ways() -> tuple[Way, ...]:
    """Returns every way. In a pair, the one that stands first here is asked for first."""
    return (
        Way(AlternativeChange.LARGER, larger, FLOATS, BALLOONS),
        *material_ways(),
        Way(AlternativeChange.TREAT, lambda asked: with_treatment(asked.request, asked.place), FLOATS, TREATMENT),
        Way(AlternativeChange.SHADE, in_shade, LIGHT, PLACE),
        Way(AlternativeChange.INDOORS, indoors, LIGHT | WIND, PLACE),
        Way(AlternativeChange.LATER, _later, FLOATS | LIGHT, TIME, later=True),
        Way(AlternativeChange.LATER_PART, _later_part, FLOATS | LIGHT, TIME, later=True),
        Way(AlternativeChange.VENUE, lambda asked: requests_at_venue(asked.quote, asked.shop), FLOATS | LIGHT),
        Way(AlternativeChange.AIR, in_air, FLOATS | WIND),
    )


def material_ways() -> tuple[Way, ...]:
    """Returns a way for each material that is offered in place of what sinks too soon. None of them is treated."""
    return tuple(
        Way(material, partial(of_material, material=material), FLOATS | LIGHT, BALLOONS | TREATMENT)
        for material in Material
        if material.traits.offered_instead
    )


def _later(asked: AskedLine) -> Iterator[OrderRequest]:
    return requests_at_later_times(asked.request, asked.shop, asked.now)


def _later_part(asked: AskedLine) -> Iterator[OrderRequest]:
    return requests_with_later_latex(asked.request, asked.place, asked.shop, asked.now)


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
    there = request if request.hand_over is HandOver.VENUE else _with_crew(request, shop.trip)
    fills = [batch.fill for batch in quote.batches]
    work = (
        sum((fill.work for fill in fills), timedelta()) + max(fill.drying_time for fill in fills) + quote.finishing
    )
    busy = timedelta(minutes=there.set_up_minutes + there.hanging_minutes) + work
    for earlier in range(3):  # the air at the venue may take more litres, so filling may take a little longer
        latest = request.event_start - busy - timedelta(minutes=earlier * shop.step_minutes)
        access = step_down(latest, shop.step_minutes, shop.zone)
        leaves = access - timedelta(minutes=there.travel_minutes)
        yield replace(there, ready_by=leaves, arrives_at=access)


def _with_crew(request: OrderRequest, usual: TripDefaults) -> OrderRequest:
    return replace(
        in_one_part(request),
        hand_over=HandOver.VENUE,
        travel_minutes=request.travel_minutes or usual.venue_travel_minutes,
        set_up_minutes=usual.set_up_minutes,
        hanging_minutes=usual.hanging_minutes,
        crew=usual.crew,
    )


def in_shade(asked: AskedLine) -> Iterator[OrderRequest]:
    """Yields the order in the shade, if it is in the sun."""
    if asked.request.surroundings is Surroundings.SUN:
        yield replace(asked.request, surroundings=Surroundings.SHADE)


def indoors(asked: AskedLine) -> Iterator[OrderRequest]:
    """Yields the order indoors, if it is outdoors: as warm as was typed, but no colder than other rooms."""
    request = asked.request
    if request.surroundings.outdoors:
        typed = request.venue_celsius
        celsius = None if typed is None or typed < asked.shop.indoors_celsius else typed
        yield replace(request, surroundings=Surroundings.INDOORS, venue_celsius=celsius)


def larger(asked: AskedLine) -> Iterator[OrderRequest]:
    """Yields what floats too briefly one size larger, then two, up to the largest of its material."""
    floating = (row for row in asked.catalogue.offered_types if not row.air_only)
    rows = sorted(floating, key=lambda row: row.nominal_in)

    def enlarged(part: Part, steps: int) -> Part:
        own = asked.catalogue.balloon_types[part.balloon_type_id]
        above = [row.id for row in rows if row.material is own.material and row.nominal_in > own.nominal_in]
        is_meant = above and part.gas == Gas.HELIUM and asked.must_change(part, FLOATS)
        return replace(part, balloon_type_id=above[min(steps, len(above)) - 1]) if is_meant else part

    requests = (_with_parts(asked, partial(enlarged, steps=steps)) for steps in range(1, len(rows)))
    yield from dict.fromkeys(request for request in requests if request)


def of_material(asked: AskedLine, material: Material) -> Iterator[OrderRequest]:
    """Yields the line with balloons of the material, the cheapest first, filled with the gas that is there: first
    only in place of what does not last, then in place of all others."""
    rows = [row for row in asked.catalogue.offered_types if row.material is material]

    def replaced(part: Part, row: BalloonOffer, *, all_parts: bool) -> Part:
        own = asked.catalogue.balloon_types[part.balloon_type_id].material
        floats = part.gas == Gas.AIR or not row.air_only
        is_meant = own is not material and (all_parts or asked.must_change(part, FLOATS | LIGHT))
        return replace(part, balloon_type_id=row.id) if is_meant and floats else part

    requests = (
        _with_parts(asked, partial(replaced, row=row, all_parts=all_parts))
        for all_parts in (False, True)
        for row in sorted(rows, key=lambda row: row.price_minor)
    )
    yield from dict.fromkeys(request for request in requests if request)


def in_air(asked: AskedLine) -> Iterator[OrderRequest]:
    """Yields the line filled with air, on a base or a stick, so that it need not float."""
    line, design = asked.line, asked.design
    if design is None and line.gas is Gas.HELIUM:
        yield asked.with_line(replace(line, gas=Gas.AIR, treated=False))
    elif design is not None and _construction(design, asked.catalogue) is not Construction.STRUNG:
        swaps = changed_swaps(design, line.swaps, lambda part: replace(part, gas=Gas.AIR))
        if swaps != line.swaps and _takes_other_balloons(design, asked.catalogue):
            yield asked.with_line(replace(line, swaps=swaps, treated=False))


def _with_parts(asked: AskedLine, change: Callable[[Part], Part]) -> OrderRequest | None:
    """Returns the order with each part of the line changed; None if that changes nothing, or if the line is a
    design that takes no other balloons. Loose balloons are one part."""
    line, design = asked.line, asked.design
    if design is not None and _takes_other_balloons(design, asked.catalogue):
        new = replace(line, swaps=changed_swaps(design, line.swaps, change))
    elif design is None and line.balloon_type_id is not None:
        part = change(Part(line.balloon_type_id, line.gas, line.quantity))
        new = replace(line, balloon_type_id=part.balloon_type_id)
    else:
        return None
    return asked.with_line(_treated_if_possible(new, asked)) if new != line else None


def _treated_if_possible(line: LineRequest, asked: AskedLine) -> LineRequest:
    """Returns the line, untreated if nothing in it can be treated any more."""
    types, design = asked.catalogue.balloon_types, asked.catalogue.designs.get(line.design_id or 0)
    if design is None:
        can = line.balloon_type_id is not None and types[line.balloon_type_id].material.traits.can_be_treated
    else:
        parts = swapped_design(design, line.swaps, asked.catalogue).parts
        can = any(p.gas == Gas.HELIUM and types[p.balloon_type_id].material.traits.can_be_treated for p in parts)
    return replace(line, treated=line.treated and can)


def _takes_other_balloons(design: Design, catalogue: Catalogue) -> bool:
    """Returns whether other balloons can take the place of its own."""
    return _construction(design, catalogue) in TAKES_OTHER_BALLOONS


def _construction(design: Design, catalogue: Catalogue) -> Construction:
    return construction_of(recipe_of(design, catalogue))
