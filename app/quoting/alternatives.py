"""What to offer instead, for a line that is not safe. Each alternative is calculated in full before it is
offered."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import islice

from app.planning.finishing import Fit
from app.planning.window import FloatWindow, Verdict
from app.quoting.allergy import avoids_latex
from app.quoting.catalogue import Catalogue
from app.quoting.quote import Quote
from app.quoting.request import HandOver
from app.quoting.runs import BatchPlan
from app.quoting.shop import Shop
from app.quoting.way_search import (
    MOST_PAIR_QUOTES,
    Found,
    QuoteFunction,
    WaySearch,
    batches_of_line,
    line_verdict,
    lowest_chance,
)
from app.quoting.ways import AlternativeChange, AskedLine, Change, material_ways, requests_at_venue

MOST_PAIR_QUOTES_OF_ORDER = 120
"""How many quotes of pairs are tried for one order; lines that are not safe share them."""


@dataclass(frozen=True, slots=True)
class Alternative:
    """An alternative for one line, with the whole order quoted. changes: the one or two changes that it is made of.
    line: its place, from 0; None if it is for the sake of the bench. fit: whether the bench can make it along with
    the others; None if the bench was not asked."""

    changes: tuple[Change, ...]
    line: int | None
    quote: Quote
    costs_minor: int
    fit: Fit | None = None

    @property
    def change(self) -> Change:
        """The change; TWO if there are two."""
        return self.changes[0] if len(self.changes) == 1 else AlternativeChange.TWO

    @property
    def key(self) -> str:
        """The key that no other alternative of the line has."""
        return "-and-".join(self.changes)

    @property
    def batches(self) -> Sequence[BatchPlan]:
        """The batches of the line; those of the order if it is for the sake of the bench."""
        return self.quote.batches if self.line is None else batches_of_line(self.quote, self.line)

    @property
    def tightest(self) -> BatchPlan:
        """The batch with the worst verdict, and of these the one with the lowest chance."""
        return max(self.batches, key=lambda batch: (batch.window.verdict.rank, -batch.window.chance))

    @property
    def verdict(self) -> Verdict:
        """The worst verdict of its batches."""
        return self.tightest.window.verdict

    @property
    def chance(self) -> float:
        """The lowest chance of its batches, 0 to 1."""
        return lowest_chance(self.batches)

    @property
    def window(self) -> FloatWindow:
        """The window of its tightest batch."""
        return self.tightest.window


def find_alternatives(
    quote: Quote, quote_for: QuoteFunction, shop: Shop, catalogue: Catalogue, now: datetime
) -> list[Alternative]:
    """Returns what would make each line safe that is not, the cheapest first.

    Two ways together are offered only where none alone makes the line safe. Where nothing makes it safe, what makes
    it better and at least risky is returned. No alternative makes another line less safe, or has a time before now.
    For a line with latex in an order with a latex allergy, it returns only what has no latex. It asks for the same
    quote several times, so `quote_for` had better be `remembering`.
    """
    order, places = [*AlternativeChange], range(len(quote.lines))
    unsafe = sum(line_verdict(quote, place) is not Verdict.SAFE for place in places)
    most = min(MOST_PAIR_QUOTES, MOST_PAIR_QUOTES_OF_ORDER // max(unsafe, 1))
    found = [
        Alternative(changes, place, better, better.total_minor - quote.total_minor)
        for place in places
        for changes, better in _alternatives_of(AskedLine(quote, place, shop, catalogue, now), quote_for, most)
    ]

    def rank(one: Alternative) -> tuple[int, int, list[int]]:
        places = [order.index(change) if change in order else len(order) for change in one.changes]
        return one.line or 0, one.costs_minor, places

    return sorted(found, key=rank)


def _alternatives_of(asked: AskedLine, quote_for: QuoteFunction, most: int) -> Found:
    """Returns what is offered for the line. most: how many quotes of pairs may be tried."""
    if avoids_latex(asked.quote, asked.place):
        return list(_without_latex(replace(asked, without_latex=True), quote_for))
    if line_verdict(asked.quote, asked.place) is Verdict.SAFE:
        return _earlier_crew(asked, quote_for)
    search = WaySearch(asked, quote_for, quotes_left=most)
    alone = search.alone()
    if safe := _safe(alone, asked.place):
        return safe
    together = search.together(also_unlikely=not alone)
    return _safe(together, asked.place) or alone or together


def _earlier_crew(asked: AskedLine, quote_for: QuoteFunction) -> Found:
    """Returns the order with its crew let in earlier, once, if it is let in too late to fill everything in time."""
    quote = asked.quote
    if asked.place > 0 or quote.late_run is None or quote.request.hand_over is not HandOver.VENUE:
        return []
    search = WaySearch(asked, quote_for)
    in_time = (
        better
        for better in search.quotes(requests_at_venue(quote, asked.shop))
        if better.late_run is None and search.is_possible(better)
    )
    return [((AlternativeChange.VENUE,), better) for better in islice(in_time, 1)]


def _safe(found: Found, line_index: int) -> Found:
    """Returns those that make the line safe."""
    return [(changes, better) for changes, better in found if line_verdict(better, line_index) is Verdict.SAFE]


def _without_latex(asked: AskedLine, quote_for: QuoteFunction) -> Iterator[tuple[tuple[Change, ...], Quote]]:
    """Yields for each material without latex the first quote that is safe, else the best that is no worse than the
    line."""
    was = line_verdict(asked.quote, asked.place).rank
    search = WaySearch(asked, quote_for)
    for way in material_ways():
        quotes = [
            better
            for better in search.quotes(way.requests(asked))
            if search.is_possible(better) and not avoids_latex(better, asked.place)
        ]
        best = min(quotes, key=lambda better: line_verdict(better, asked.place).rank, default=None)
        if best and line_verdict(best, asked.place).rank <= was:
            yield (way.change,), best
