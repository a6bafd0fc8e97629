"""What could replace what is out of stock: the same balloons in another colour, or another size in that colour.

Each is calculated in full before it is offered.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import chain, islice

from app.actions.context import Context
from app.actions.stock.articles import Article, colour_key, needs_of, needs_of_line
from app.actions.stock.availability import Availability
from app.actions.stock.shortages import ShortGoods, StockCheck, check_stock, filled_of
from app.craft.colours import ColoursUnclear, read_colours, uncounted_colours
from app.quoting.allergy import avoids_latex
from app.quoting.catalogue import BalloonOffer, Catalogue
from app.quoting.errors import Refused
from app.quoting.parts import SoldLine
from app.quoting.quote import Quote
from app.quoting.request import LineRequest
from app.quoting.shop import Shop
from app.quoting.way_search import QuoteFunction, line_verdict
from app.store.queries.stock import StockFilledRow

MOST_COLOURS = 4
MOST_SIZES = 2


@dataclass(frozen=True, slots=True)
class Substitute:
    """A line as it could be instead. line: its place, from 0. free: how many of what replaces it are free."""

    line: int
    quote: Quote
    costs_minor: int
    free: float


def find_substitutes(
    context: Context,
    quote: Quote,
    stock: StockCheck,
    quote_for: QuoteFunction,
    excluding_order: int | None = None,
) -> list[Substitute]:
    """Returns the substitutes for each line with something short.

    First comes another colour for what is missing only, the one of which most is free, then another colour for all
    of it, then the nearest sizes. The line's float verdict gets no worse, and nothing else becomes short. No latex
    is offered if somebody is allergic to it. stock: what the stock says about the order as it is. excluding_order:
    the number of the order, if it is saved already.
    """
    shortages = [short for short in stock.shortages if short.need.article.balloon_type_id]
    if not shortages:
        return []
    sizes = {
        short: _other_sizes(context.catalogue.balloon_types[short.need.article.balloon_type_id], context.catalogue)
        for short in shortages
    }
    filled = filled_of(context.session, excluding_order)
    asked = _SubstituteSearch(quote, stock, quote_for, context.shop, stock.before, filled)
    return [
        found
        for place, line in enumerate(quote.lines)
        for short in shortages
        if short.need in needs_of_line(line, [short.need]) and not avoids_latex(quote, place)
        for found in (*asked.colours(place, line, short), *asked.sizes(place, line, sizes[short]))
    ]


def _other_sizes(balloon_type: BalloonOffer, catalogue: Catalogue) -> list[BalloonOffer]:
    """Returns the other sizes of the same material, the nearest first."""
    like = (balloon_type.material, balloon_type.air_only)
    rows = [
        row for row in catalogue.offered_types if (row.material, row.air_only) == like and row.id != balloon_type.id
    ]
    return sorted(rows, key=lambda row: abs(row.nominal_in - balloon_type.nominal_in))


@dataclass(frozen=True)
class _SubstituteSearch:
    """The order and the stock for which substitutes are searched."""

    quote: Quote
    stock: StockCheck
    quote_for: QuoteFunction
    shop: Shop
    availability: Availability
    filled: Sequence[StockFilledRow]

    def colours(self, place: int, line: SoldLine, short: ShortGoods) -> Iterator[Substitute]:
        """Yields the line with another colour."""
        article, day = short.need.article, short.need.day
        shelf = self.availability.by_article[article]
        free = {colour: shelf.free(colour, day) for colour in shelf.colours}
        most = sorted((colour for colour in free if free[colour] > 0), key=lambda colour: -free[colour])
        names = [self.availability.colour(article, colour) for colour in most]
        missing = int(short.count) if short.free > 0 else 0
        some, whole = (
            [request for name in names if (request := recoloured(line.request, short.need.colour, name, count))]
            for count in (missing, None)
        )
        first = islice(self._acceptable(place, some), 1)
        return islice(chain(first, self._acceptable(place, whole)), MOST_COLOURS)

    def sizes(self, place: int, line: SoldLine, rows: Iterable[BalloonOffer]) -> Iterator[Substitute]:
        """Yields the line in another size; loose balloons only, since a design is made for its sizes."""
        if line.request.balloon_type_id is None:
            return iter(())
        counted = (row for row in rows if self._is_counted(Article(balloon_type_id=row.id)))
        requests = (replace(line.request, balloon_type_id=row.id) for row in counted)
        return islice(self._acceptable(place, requests), MOST_SIZES)

    def _acceptable(self, place: int, lines: Iterable[LineRequest]) -> Iterator[Substitute]:
        """Yields the substitutes among these lines."""
        return (found for line in lines if (found := self._try_line(place, line)))

    def _try_line(self, place: int, line: LineRequest) -> Substitute | None:
        """Returns the substitute; None if it is refused, has a worse verdict, leaves anything more short, or needs
        an article that is not counted, since nobody knows how many of those there are."""
        request = self.quote.request
        try:
            better = self.quote_for(
                replace(request, lines=(*request.lines[:place], line, *request.lines[place + 1 :]))
            )
        except Refused:
            return None
        stock = check_stock(better, self.shop, self.availability, self.filled)
        if (
            self._is_uncounted(better)
            or stock.is_shorter_than(self.stock)
            or stock.missing_counts == self.stock.missing_counts
        ):
            return None
        if line_verdict(better, place).rank > line_verdict(self.quote, place).rank:
            return None
        return Substitute(place, better, better.total_minor - self.quote.total_minor, self._free(stock))

    def _is_uncounted(self, better: Quote) -> bool:
        """Returns whether it needs an article that is not counted, and that the order as it is does not need."""
        return not all(self._is_counted(need.article) for need in needs_of(better, self.shop))

    def _is_counted(self, article: Article) -> bool:
        """Returns whether it is known how many of an article there are, or the order as it is needs it anyway."""
        return article in self.availability.by_article or article in self._needed_anyway

    @cached_property
    def _needed_anyway(self) -> frozenset[Article]:
        return frozenset(need.article for need in needs_of(self.quote, self.shop))

    @cached_property
    def _had(self) -> dict[tuple[Article, str], float]:
        return _counts(self.stock)

    def _free(self, stock: StockCheck) -> float:
        """Returns how many are free of what it needs more of than the order as it is."""
        had, has = self._had, _counts(stock)
        more = {key for key, count in has.items() if count > had.get(key, 0.0)}
        needs = (need for need in stock.needs if (need.article, need.colour_key) in more)
        return min(self.availability.by_article[need.article].free(need.colour_key, need.day) for need in needs)


def _counts(stock: StockCheck) -> dict[tuple[Article, str], float]:
    """Returns how much is needed, by article and colour."""
    counts: dict[tuple[Article, str], float] = {}
    for need in stock.needs:
        counts[need.article, need.colour_key] = counts.get((need.article, need.colour_key), 0.0) + need.count
    return counts


def recoloured(line: LineRequest, was: str, now: str, count: int | None = None) -> LineRequest | None:
    """Returns the line with another colour in place of one of its own.

    count: replace only so many, which is possible only if the line is not a design. Returns None if the line does
    not name the colour, has the other already, or has no more than count of it.
    """
    try:
        names, shares = uncounted_colours(line.colours), read_colours(line.colours, line.quantity, figures=True)
    except ColoursUnclear:
        return None
    has = {colour_key(name): name for name in shares}
    own = has.get(colour_key(was)) if was else None
    if own is None or colour_key(now) in has:
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
    """Returns the shares as they are typed: “12 red, 8 blue”."""
    return ", ".join(f"{share} {name}" for name, share in shares.items())
