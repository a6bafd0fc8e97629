"""The search among the ways for what makes one line safe, alone or two together."""

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace

from app.planning.window import Limit, Verdict, worst
from app.quoting.errors import Refused
from app.quoting.quote import Quote
from app.quoting.request import OrderRequest
from app.quoting.runs import BatchPlan
from app.quoting.ways import AlternativeChange, AskedLine, Change, Way, all_ways

MOST_PAIR_QUOTES = 40
"""How many quotes of two ways together are tried for one line. The search for the first good time in a pair that
works may take a few more."""
MOST_PAIRS = 3
"""How many pairs are offered for one line."""


QuoteFunction = Callable[[OrderRequest], Quote]
"""Returns the quote of a request, with its times checked; all else was passed in before. Raises Refused."""


def remembering(quote_for: QuoteFunction) -> QuoteFunction:
    """Returns a function that quotes each request only once: a later time is the same for all lines, and what was
    tried for the bench may be tried for a line."""
    known: dict[OrderRequest, Quote | Refused] = {}

    def quote_once(request: OrderRequest) -> Quote:
        if request not in known:
            try:
                known[request] = quote_for(request)
            except Refused as refused:
                known[request] = refused
        found = known[request]
        if isinstance(found, Refused):
            raise found
        return found

    return quote_once


def line_verdict(quote: Quote, line_index: int) -> Verdict:
    """Returns the worst verdict of the line's batches."""
    return worst(batch.window.verdict for batch in batches_of_line(quote, line_index))


def batches_of_line(quote: Quote, line_index: int) -> list[BatchPlan]:
    """Returns the batches in which balloons of the line are."""
    return quote.batches_of(quote.lines[line_index])


def lowest_chance(batches: Sequence[BatchPlan]) -> float:
    """Returns the lowest chance of the batches, 0 to 1; 1 if there is none."""
    return min((batch.window.chance for batch in batches), default=1.0)


Found = list[tuple[tuple[Change, ...], Quote]]
"""What is offered for a line: the changes, and the quote with them."""


@dataclass(slots=True)
class WaySearch:
    """The search for what to offer for one line. tried: the quotes of each way alone, without those refused.
    quotes_left: how many quotes of pairs may still be made."""

    asked: AskedLine
    quote_for: QuoteFunction
    tried: dict[Change, list[Quote]] = field(default_factory=dict)
    quotes_left: int = MOST_PAIR_QUOTES

    def alone(self) -> Found:
        """Returns the best quote of each way that makes the line better."""
        found: Found = []
        for way in all_ways():
            best, self.tried[way.change] = self._best_of(way, self.asked, (way.change,))
            if best:
                found.append(((way.change,), best))
        return found

    def together(self, *, also_unlikely: bool) -> Found:
        """Returns the best quote of each pair of ways that makes the line better, as far as the search may go. The
        ways must have been tried alone. also_unlikely: whether to look for what is risky where nothing is safe."""
        found: dict[tuple[Change, ...], Quote] = {}
        for is_likely, first, second, start in self._pairs():
            safe = [changes for changes, better in found.items() if self._is_safe(better)]
            changes = (first.change, second.change)
            is_wanted = is_likely or (also_unlikely and not safe)
            if self.quotes_left <= 0 or len(safe) >= MOST_PAIRS or not is_wanted:
                break
            if changes in safe:
                continue
            best, tried = self._best_of(second, replace(self.asked, quote=start), changes)
            self.quotes_left -= max(len(tried), 1)
            if best and (changes not in found or self._grade(best) < self._grade(found[changes])):
                found[changes] = best
        return list(found.items())

    def _pairs(self) -> list[tuple[bool, Way, Way, Quote]]:
        """Returns the pairs: whether they are likely to be safe, two ways, and the quote with the first of them.

        Those are likely of which each way can help against all that the other alone leaves; they come first, the
        cheapest before the others. A treatment that is refused alone may go with larger balloons.
        """
        ways, found = [way for way in all_ways() if way.settles], []
        for place, first in enumerate(ways):
            for second in ways[place + 1 :]:
                after = self.tried[second.change]
                if first.settles & second.settles or not (after or second.change is AlternativeChange.TREAT):
                    continue
                helps = not after or any(self._limits(quote) <= first.helps for quote in after)
                more = min((quote.total_minor for quote in after), default=0)
                for quote in self.tried[first.change]:
                    likely = helps and self._limits(quote) <= second.helps
                    found.append((not likely, quote.total_minor + more, first, second, quote))
        found.sort(key=lambda one: one[:2])
        return [(not unlikely, first, second, quote) for unlikely, _, first, second, quote in found]

    def _best_of(self, way: Way, asked: AskedLine, changes: tuple[Change, ...]) -> tuple[Quote | None, list[Quote]]:
        """Returns the first quote of the way that makes the line safe, else the best that makes it better, or None.
        Also returns all quotes made for it."""
        requests = list(way.requests(asked))
        if way.later:
            return self._first_time(requests, changes)
        tried, best = [], None
        for better in self.quotes(requests):
            tried.append(better)
            if self._is_offered(better, changes) and (best is None or self._grade(better) < self._grade(best)):
                best = better
                if self._is_safe(best):
                    break
        return best, tried

    def _first_time(
        self, requests: Sequence[OrderRequest], changes: tuple[Change, ...]
    ) -> tuple[Quote | None, list[Quote]]:
        """Returns the quote of the first time that makes the line safe, found by halving, because no time is less
        safe than those before it. If none makes it safe, returns that of the last time if it makes it better, or
        None. Also returns all quotes made for it."""
        high, last = self._last_time(requests)
        if last is None:
            return None, []
        offered, tried = self._is_offered(last, changes), [last]
        if not offered or not self._is_safe(last):
            return last if offered else None, tried
        low, best = 0, last
        while low < high:
            middle = (low + high) // 2
            better = next(self.quotes([requests[middle]]), None)
            if better and self._is_safe(better) and self._is_offered(better, changes):
                high, best = middle, better
            else:
                low = middle + 1
            tried += [better] if better else []
        return best, tried

    def _last_time(self, requests: Sequence[OrderRequest]) -> tuple[int, Quote | None]:
        """Returns the last of these requests that is not refused, with its place; of the last two, since only the
        end itself may be too late."""
        for place in range(len(requests) - 1, max(len(requests) - 3, -1), -1):
            if (last := next(self.quotes([requests[place]]), None)) is not None:
                return place, last
        return 0, None

    def quotes(self, requests: Iterable[OrderRequest]) -> Iterator[Quote]:
        """Yields the quotes of the requests, without those that are refused."""
        for request in requests:
            try:
                yield self.quote_for(request)
            except Refused:
                continue

    def is_possible(self, better: Quote) -> bool:
        """Returns whether it makes no other line less safe, and has no time before now."""
        request, now = better.request, self.asked.now
        moments = [request.ready_by, request.arrives_at, request.later_at]
        moments += [
            batch.window.inflate_by
            for batch in batches_of_line(better, self.asked.place)
            if batch.started_at is None
        ]
        if any(moment < now for moment in moments if moment):
            return False
        others = (place for place in range(len(better.lines)) if place != self.asked.place)
        return all(
            line_verdict(better, place).rank <= line_verdict(self.asked.quote, place).rank for place in others
        )

    def _is_offered(self, better: Quote, changes: tuple[Change, ...]) -> bool:
        """Returns whether it makes the line safe, or better and risky. Treatment is never offered against light."""
        if self._is_safe(better) or not self.is_possible(better):
            return self._is_safe(better) and self.is_possible(better)
        treats_light = AlternativeChange.TREAT in changes and Limit.LIGHT in self._limits(better)
        (rank, chance), was = self._grade(better), self._grade(self.asked.quote)
        is_better = rank < was[0] or (rank == was[0] and chance < was[1])
        return rank == Verdict.RISKY.rank and is_better and not treats_light

    def _grade(self, quote: Quote) -> tuple[int, int]:
        """Returns how safe the line is, less for a safer one: its verdict, and its chance in whole percent."""
        chance = lowest_chance(batches_of_line(quote, self.asked.place))
        return line_verdict(quote, self.asked.place).rank, -math.floor(chance * 100 + 1e-9)

    def _is_safe(self, quote: Quote) -> bool:
        return line_verdict(quote, self.asked.place) is Verdict.SAFE

    def _limits(self, quote: Quote) -> frozenset[Limit]:
        """Returns what keeps the line from being safe in that quote."""
        return replace(self.asked, quote=quote).limits
