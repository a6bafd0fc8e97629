"""Designs that would not last: each one that a search of its own can cure gets an alternative,
and no alternative is offered that this search says does not help."""

import random
from dataclasses import replace
from datetime import timedelta

import pytest

from app.physics.balloon import Gas
from app.physics.light import Surroundings
from app.planning.window import Limit, Verdict
from app.quoting.alternatives import find_alternatives
from app.quoting.catalogue import Design, Part
from app.quoting.checks import check_hours
from app.quoting.errors import Refused
from app.quoting.quote import make_quote
from app.quoting.request import HandOver, LineRequest
from tests.actions.builders import MORNING, at, line, order_request
from tests.amounts import amount
from tests.quoting.search_of_its_own import every_pair, every_request, is_cured, verdict_of

UNSAFE = amount(20, deep=700)
NOW = MORNING - timedelta(days=3)
FORMS = ({}, {"form": "bouquet"}, {"form": "strings"}, {"form": "base"})
NAMES = ("9 in latex", "11 in latex", "12 in latex", "16 in latex", "18 in foil", "20 in sphere")


def _design(draw, catalogue):
    """One or two sorts of balloons, mostly latex with helium, in a price that is set."""
    names = draw.sample(NAMES, draw.choice((1, 1, 2)))
    ids = {row.name: row.id for row in catalogue.balloon_types.values()}
    gas = draw.choice((Gas.HELIUM, Gas.HELIUM, Gas.HELIUM, Gas.AIR))
    parts = tuple(Part(ids[name], gas, draw.randint(1, 12)) for name in names)
    return Design(1, "Drawn", 2600, 5.0, False, (), (), draw.choice(FORMS), parts, (), None)


def _order(draw, catalogue):
    """The design alone or beside a line, for an event of hours or days, indoors or out, in calm or wind."""
    start = at(10) + timedelta(minutes=15 * draw.randint(0, 40))
    lines = [LineRequest(None, 1, draw.randint(1, 6), "red", treated=draw.random() < 0.2)]
    if draw.random() < 0.4:
        lines.append(line(catalogue, draw.choice(("18 in foil", "11 in latex")), 2))
    where = draw.choice((Surroundings.INDOORS, Surroundings.SHADE, Surroundings.SUN))
    return order_request(
        catalogue,
        *lines,
        ready_by=at(9),
        event_start=start,
        lasts_until=start + timedelta(hours=draw.choice((4, 8, 14, 30, 80))),
        surroundings=where,
        venue_celsius=draw.choice((None, 14.0, 29.0)),
        venue_elevation_m=draw.choice((None, None, 1200.0)),
        wind_m_s=draw.choice((None, 3.0, 8.0)),
        **draw.choice(({}, {"hand_over": HandOver.DELIVER, "travel_minutes": 45, "arrives_at": at(9, 45)})),
    )


class _Asking:
    """Quotes at one moment, with the times checked as the counter does."""

    def __init__(self, shop, catalogue, now):
        self.shop, self.catalogue, self.now = shop, catalogue, now

    def __call__(self, wanted):
        check_hours(wanted, self.now)
        return make_quote(wanted, self.shop, self.catalogue, self.now)


def _unsafe(seed, shop, catalogue):
    """The asking, the order and the quote of a design that is not safe; None where the order drawn is safe or
    refused."""
    draw = random.Random(seed)
    catalogue = replace(catalogue, designs={1: _design(draw, catalogue)})
    ask = _Asking(shop, catalogue, draw.choice((NOW, NOW, at(8))))
    wanted = _order(draw, catalogue)
    try:
        quote = ask(wanted)
    except Refused:
        return None
    return None if verdict_of(quote, 0) is Verdict.SAFE else (ask, wanted, quote)


@pytest.fixture
def drawn(shop, catalogue):
    """The first so many unsafe designs, drawn from seeds."""
    seeds = iter(range(10_000))
    found = []
    while len(found) < UNSAFE:
        if one := _unsafe(next(seeds), shop, catalogue):
            found.append(one)
    return found


def test_each_that_can_be_cured_is_offered_a_cure_and_nothing_else_is_offered(drawn):
    counts = dict.fromkeys(("alone", "two", "risky", "none"), 0)
    for ask, wanted, quote in drawn:
        every = find_alternatives(quote, ask, ask.shop, ask.catalogue, NOW if ask.now == NOW else ask.now)
        offered = {one.key: one for one in every if one.line == 0}
        alone = every_request(wanted, 0, ask.catalogue)
        cures = {name for name, tries in alone.items() if any(is_cured(quote, one, 0, ask) for one in tries)}
        for one in offered.values():
            _check(one, quote, ask)
        if cures:
            counts["alone"] += 1
            assert set(offered) == cures, wanted
        elif any(is_cured(quote, both, 0, ask) for _, both in every_pair(wanted, 0, ask.catalogue)):
            counts["two"] += 1
            assert offered, wanted
            assert {one.change for one in offered.values()} == {"two"}
            assert {one.verdict for one in offered.values()} == {Verdict.SAFE}
        else:
            counts["risky" if offered else "none"] += 1
            assert {one.verdict for one in offered.values()} <= {Verdict.RISKY}
    assert min(counts.values()) > 0


def _check(one, quote, ask):
    """What an alternative says of itself is what its request is quoted with."""
    again = ask(one.quote.request)
    assert again == one.quote
    assert one.costs_minor == again.total_minor - quote.total_minor
    mine = again.batches_of(again.lines[0])
    assert one.verdict is verdict_of(again, 0)
    assert one.chance == min(batch.window.chance for batch in mine)
    assert one.window in [batch.window for batch in mine]
    assert one.verdict is not Verdict.WONT_LAST
    assert one.chance >= ask.shop.certainty.risky
    assert all(batch.window.inflate_by >= ask.now for batch in mine)
    light = {limit for batch in mine for limit in batch.window.outcome.limits} & {Limit.LIGHT}
    assert not (light and "treat" in one.changes)
    if one.verdict is Verdict.RISKY:
        was = [batch.window for batch in quote.batches_of(quote.lines[0])]
        assert any(window.verdict is Verdict.WONT_LAST for window in was) or one.chance > min(
            window.chance for window in was
        )
