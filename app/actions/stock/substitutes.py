"""What could replace what the shelves are short of: the same balloons in another colour, or another size in that
colour. Each is worked out in full before it is offered."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import chain, islice

from app.actions.context import Context
from app.actions.stock.articles import Article, needs_of, needs_of_line, shelved_as
from app.actions.stock.availability import Availability, load_availability
from app.actions.stock.shortages import ShortGoods, Stock, filled_of, judge
from app.craft.colours import ColoursUnclear, names_alone, share_out
from app.quoting.allergy import avoids_latex
from app.quoting.alternatives import Ask, line_verdict
from app.quoting.catalogue import BalloonOffer, Catalogue
from app.quoting.errors import Refused
from app.quoting.parts import SoldLine
from app.quoting.quote import WORST_FIRST, Quote
from app.quoting.request import LineRequest
from app.quoting.shop import Shop
from app.store.queries.stock import StockFilledRow

MOST_COLOURS = 4
MOST_SIZES = 2


@dataclass(frozen=True, slots=True)
class Substitute:
    """A line as it could be instead; its place counts from 0. free: how many of what replaces it could be had."""

    line: int
    quote: Quote
    costs_minor: int
    free: float


def find_substitutes(
    context: Context,
    quote: Quote,
    stock: Stock,
    ask: Ask,
    excluding_order: int | None = None,
) -> list[Substitute]:
    """For each line with something short: what is missing in the colour of which most is free, then all of it in
    another, then the nearest sizes; the line's promise gets no worse by it, and nothing else runs short. stock:
    what the shelves say to the order as it is. but: the number of the order, where it is kept already. Nothing of
    latex is offered where somebody is allergic to it."""
    shorts = [short for short in stock.shorts if short.want.article.balloon_type_id]
    if not shorts:
        return []
    sizes = {
        short: _like(context.catalogue.balloon_types[short.want.article.balloon_type_id], context.catalogue)
        for short in shorts
    }
    articles = {want.article for want in needs_of(quote, context.shop)}
    articles |= {Article(balloon_type_id=row.id) for rows in sizes.values() for row in rows}
    availability = load_availability(context, articles, excluding_order)
    asked = _Asked(quote, stock, ask, context.shop, availability, filled_of(context.session, excluding_order))
    return [
        found
        for place, line in enumerate(quote.lines)
        for short in shorts
        if short.want in needs_of_line(line, [short.want]) and not avoids_latex(quote, place)
        for found in (*asked.colours(place, line, short), *asked.sizes(place, line, sizes[short]))
    ]


def _like(balloon_type: BalloonOffer, catalogue: Catalogue) -> list[BalloonOffer]:
    """Other sizes of the same, the nearest first."""
    like = (balloon_type.material, balloon_type.air_only)
    rows = [
        row for row in catalogue.offered_types if (row.material, row.air_only) == like and row.id != balloon_type.id
    ]
    return sorted(rows, key=lambda row: abs(row.nominal_in - balloon_type.nominal_in))


@dataclass(frozen=True, slots=True)
class _Asked:
    quote: Quote
    stock: Stock
    ask: Ask
    shop: Shop
    availability: Availability
    filled: Sequence[StockFilledRow]

    def colours(self, place: int, line: SoldLine, short: ShortGoods) -> Iterator[Substitute]:
        article, day = short.want.article, short.want.day
        shelf = self.availability.by_article[article]
        free = {colour: shelf.free(colour, day) for colour in shelf.colours}
        most = sorted((colour for colour in free if free[colour] > 0), key=lambda colour: -free[colour])
        names = [self.availability.colour(article, colour) for colour in most]
        missing = int(short.count) if short.free > 0 else 0
        some, whole = (
            [request for name in names if (request := recoloured(line.request, short.want.colour, name, count))]
            for count in (missing, None)
        )
        first = islice(self._that_do(place, some), 1)
        return islice(chain(first, self._that_do(place, whole)), MOST_COLOURS)

    def sizes(self, place: int, line: SoldLine, rows: Iterable[BalloonOffer]) -> Iterator[Substitute]:
        """Only of loose balloons: a design is made for its sizes."""
        if line.request.balloon_type_id is None:
            return iter(())
        requests = (replace(line.request, balloon_type_id=row.id) for row in rows)
        return islice(self._that_do(place, requests), MOST_SIZES)

    def _that_do(self, place: int, lines: Iterable[LineRequest]) -> Iterator[Substitute]:
        return (found for line in lines if (found := self._worked_out(place, line)))

    def _worked_out(self, place: int, line: LineRequest) -> Substitute | None:
        """None where it cannot be made, is promised worse, or where that or anything else would be short; nobody
        knows how many there are of what is not counted."""
        request = self.quote.request
        try:
            better = self.ask(replace(request, lines=(*request.lines[:place], line, *request.lines[place + 1 :])))
        except Refused:
            return None
        stock = judge(better, self.shop, self.availability, self.filled)
        if self._is_uncounted(better) or stock.is_shorter_than(self.stock) or stock.lacking == self.stock.lacking:
            return None
        was, now = (WORST_FIRST.index(line_verdict(one, place)) for one in (self.quote, better))
        if now < was:
            return None
        return Substitute(place, better, better.total_minor - self.quote.total_minor, self._free(stock))

    def _is_uncounted(self, better: Quote) -> bool:
        """Whether it takes what nobody counts, and the order as it is does not."""
        now, then = ({want.article for want in needs_of(one, self.shop)} for one in (self.quote, better))
        return any(article not in self.availability.by_article for article in then - now)

    def _free(self, stock: Stock) -> float:
        """Of what it takes more of than the order as it is."""
        had, has = _counts(self.stock), _counts(stock)
        more = {key for key, count in has.items() if count > had.get(key, 0.0)}
        wants = (want for want in stock.wants if (want.article, want.shelved_as) in more)
        return min(self.availability.by_article[want.article].free(want.shelved_as, want.day) for want in wants)


def _counts(stock: Stock) -> dict[tuple[Article, str], float]:
    counts: dict[tuple[Article, str], float] = {}
    for want in stock.wants:
        counts[want.article, want.shelved_as] = counts.get((want.article, want.shelved_as), 0.0) + want.count
    return counts


def recoloured(line: LineRequest, was: str, now: str, count: int | None = None) -> LineRequest | None:
    """The line with another colour in place of one of its own, or only for so many of it, if it is no design. None
    where it names no such colour, has the other already, or has no more of it."""
    try:
        names, shares = names_alone(line.colours), share_out(line.colours, line.quantity, figures=True)
    except ColoursUnclear:
        return None
    has = {shelved_as(name): name for name in shares}
    own = has.get(shelved_as(was)) if was else None
    if own is None or shelved_as(now) in has:
        return None
    if count is not None:
        if line.design_id is not None or not 0 < count < shares[own]:
            return None
        return replace(line, colours=_counted({**shares, own: shares[own] - count, now: count}))
    renamed = {name: now if name == own else name for name in shares}
    if names:
        return replace(line, colours=", ".join(renamed[name] for name in names))
    return replace(line, colours=_counted({renamed[name]: share for name, share in shares.items()}))


def _counted(shares: Mapping[str, int]) -> str:
    return ", ".join(f"{share} {name}" for name, share in shares.items())
