"""What would work instead: offered only when it was worked out to be safe, and nothing that works is left out."""

from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from app.actions.catalogue.balloon_types import archive_balloon_type
from app.actions.records.catalogue import load_catalogue
from app.actions.records.shop import load_shop
from app.actions.shop.office import change_settings
from app.physics.balloon import Gas
from app.physics.material import Material
from app.planning.window import Verdict
from app.quoting.alternatives import AlternativeChange, find_alternatives, line_verdict
from app.quoting.checks import check_hours
from app.quoting.errors import Refused
from app.quoting.quote import make_quote, quote_if_waiting
from app.quoting.request import HandOver, Occasion
from tests.actions.builders import MORNING, at, balloon_type_id, bouquet, design_line, line, order_request

LATEX = ("9 in latex", "11 in latex", "12 in latex", "16 in latex", "24 in latex")


@pytest.fixture
def ask(session, shop, catalogue):
    """The counter's quote three days before the Saturday of the tests."""
    return _ask(shop, catalogue)


def _ask(shop, catalogue, now=MORNING - timedelta(days=3)):
    def ask(wanted):
        check_hours(wanted, now)
        return make_quote(wanted, shop, catalogue, now)

    ask.now = now
    return ask


def _party(catalogue, *lines, **changes):
    """Two dozen, collected at nine for a party from six to midnight: too long for untreated 11-inch."""
    hours = {"ready_by": at(9), "event_start": at(18), "lasts_until": at(0, days=1)}
    return order_request(catalogue, *lines, **(hours | changes))


def _offered(wanted, ask, shop, catalogue):
    return {way.key: way for way in find_alternatives(ask(wanted), ask, shop, catalogue, ask.now)}


def test_the_worked_case_has_its_alternatives(session, ask, shop, catalogue):
    """Worked case 1, computed independently, with an event half an hour later: 20 minutes of filling, treated or
    not, and 10 of finishing. Not before 14:35, so it is ready from 15:05, on the shop's step 15:15."""
    change_settings(session, {"treat_seconds": 0})
    shop = load_shop(session)
    ask = _ask(shop, catalogue)
    assert ask(_party(catalogue)).batches[0].fill.work == timedelta(minutes=20)
    ways = _offered(_party(catalogue), ask, shop, catalogue)
    treated = ways[AlternativeChange.TREAT].quote.batches[0].window
    assert treated.inflate_by == at(17, 40, days=-1)
    assert ways[AlternativeChange.LATER].quote.ready_by == at(15, 15)
    larger = ways[AlternativeChange.LARGER]
    assert larger.quote.lines[0].title == "16 in latex"
    assert larger.quote.batches[0].window.not_before == at(1, 15)


def test_a_retired_kind_is_no_way_out(session, ask, shop, catalogue):
    """Without the 16-inch the next larger one that works is the 18-inch; without foils there is no foil."""
    for name in ("16 in latex", "18 in foil", "22 in foil", "36 in jumbo foil"):
        archive_balloon_type(session, balloon_type_id(catalogue, name), MORNING)
    ways = _offered(_party(catalogue), ask, shop, load_catalogue(session))
    assert ways[AlternativeChange.LARGER].quote.lines[0].title == "18 in latex"
    assert Material.FOIL not in ways


def test_a_safe_line_is_offered_nothing(ask, shop, catalogue):
    assert _offered(order_request(catalogue), ask, shop, catalogue) == {}


def test_the_cheapest_that_works_stands_first(ask, shop, catalogue):
    found = find_alternatives(ask(_party(catalogue)), ask, shop, catalogue, ask.now)
    costs = [alternative.costs_minor for alternative in found]
    assert costs == sorted(costs)
    every = {*AlternativeChange, Material.FOIL, Material.SPHERE} - {AlternativeChange.MATERIAL}
    assert {way.key for way in found} == every - {AlternativeChange.LATER_PART}
    assert {way.material for way in found if way.change is AlternativeChange.MATERIAL} == {"foil", "sphere"}


def test_the_difference_in_price_is_that_of_the_two_quotes(ask, shop, catalogue):
    wanted = _party(catalogue)
    treated = _offered(wanted, ask, shop, catalogue)[AlternativeChange.TREAT]
    assert treated.costs_minor == 24 * shop.treat_minor
    assert treated.quote.total_minor == ask(wanted).total_minor + treated.costs_minor


def test_the_other_lines_stay_as_they_are(ask, shop, catalogue):
    wanted = _party(catalogue, line(catalogue, "18 in foil", quantity=2), line(catalogue))
    for alternative in find_alternatives(ask(wanted), ask, shop, catalogue, ask.now):
        assert alternative.line == 1
        assert alternative.quote.request.lines[0] == wanted.lines[0]


def test_a_design_can_be_treated_or_collected_later(session, ask, shop, catalogue):
    design = bouquet(session, catalogue)
    catalogue = load_catalogue(session)
    ask = _ask(shop, catalogue)
    ways = {AlternativeChange.TREAT, AlternativeChange.LATER, AlternativeChange.LATER_PART, AlternativeChange.VENUE}
    assert set(_offered(_party(catalogue, design_line(design)), ask, shop, catalogue)) == ways


def test_nothing_later_is_offered_while_the_shop_is_closed(session, ask, shop, catalogue):
    """An event at nine in the evening, latex that must be filled after six: nobody is there."""
    wanted = _party(catalogue, event_start=at(21), lasts_until=at(5, days=1))
    assert AlternativeChange.LATER not in _offered(wanted, ask, shop, catalogue)


def test_a_delivery_is_brought_later(ask, shop, catalogue):
    wanted = _party(
        catalogue,
        hand_over=HandOver.DELIVER,
        travel_minutes=30,
        ready_by=at(8, 30),
        arrives_at=at(9),
        address="4 Mill Lane",
    )
    later = _offered(wanted, ask, shop, catalogue)[AlternativeChange.LATER].quote
    assert later.request.arrives_at == later.ready_by + timedelta(minutes=30)
    assert later.request.arrives_at <= wanted.event_start


def test_the_worked_case_can_be_filled_at_the_venue(ask, shop, catalogue):
    """Worked case 1: let in on the step so that filling, tail and hanging end as the party begins."""
    venue = _offered(_party(catalogue), ask, shop, catalogue)[AlternativeChange.VENUE].quote
    assert venue.request.hand_over is HandOver.VENUE
    assert venue.request.arrives_at == at(16, 30)
    assert venue.leaves_at == at(16, 10)
    assert venue.batches[0].window.not_before == at(16, 50)
    assert venue.batches[0].ready_by == at(17, 30)
    assert venue.total_minor == ask(_party(catalogue)).total_minor + shop.venue_minor


def test_a_venue_that_cannot_be_reached_in_time_is_not_offered(shop, catalogue):
    ask = _ask(shop, catalogue, now=at(17))
    assert AlternativeChange.VENUE not in _offered(_party(catalogue, ready_by=at(17, 45)), ask, shop, catalogue)


def test_a_later_part_is_offered_where_something_else_goes_as_agreed(ask, shop, catalogue):
    wanted = _party(catalogue, line(catalogue, "18 in foil", quantity=2), line(catalogue))
    part = _offered(wanted, ask, shop, catalogue)[AlternativeChange.LATER_PART].quote
    assert part.request.later_at == at(15, 15)
    assert [batch.ready_by for batch in part.batches] == [at(9), at(15, 15)]
    assert part.total_minor == ask(wanted).total_minor


def test_a_line_alone_is_no_part(ask, shop, catalogue):
    assert AlternativeChange.LATER_PART not in _offered(_party(catalogue), ask, shop, catalogue)


def test_waiting_tells_what_is_left_of_the_event(shop, catalogue):
    """Ready a quarter of an hour after a party of two hours began: up to its end, but that quarter is missed."""
    now = at(14, 40)
    wanted = order_request(catalogue, ready_by=at(14, 45), event_start=at(15), lasts_until=at(17))
    late = make_quote(wanted, shop, catalogue, now)
    wait = quote_if_waiting(late, shop, catalogue, now)
    assert wait.request.ready_by == late.ready_at == at(15, 15)
    assert wait.float_verdict is Verdict.SAFE


def test_an_order_that_is_late_but_floats_is_told_the_hour_it_is_ready(shop, catalogue):
    """Whether it can be made is not whether it floats: there is nothing to offer instead."""
    ask = _ask(shop, catalogue, now=at(13, 50))
    wanted = order_request(catalogue)
    late = ask(wanted)
    assert (late.ready_at, late.float_verdict) == (at(14, 30), Verdict.SAFE)
    assert _offered(wanted, ask, shop, catalogue) == {}
    wait = quote_if_waiting(late, shop, catalogue, at(13, 50))
    assert (wait.ready_by, wait.late_run, wait.float_verdict) == (at(14, 30), None, Verdict.SAFE)


orders = st.fixed_dictionaries(
    {
        "what": st.sampled_from([*LATEX, "bouquet"]),
        "quantity": st.integers(1, 60),
        "treated": st.booleans(),
        "gas": st.sampled_from([Gas.HELIUM, Gas.HELIUM, Gas.AIR]),
        "lead": st.integers(0, 40),
        "hours": st.integers(1, 160),
        "beside": st.sampled_from(["", "18 in foil", "9 in latex"]),
        "handed": st.sampled_from(["collected", "delivered", "in two parts"]),
        "until": st.booleans(),
    }
)


def _order(catalogue, design, drawn):
    gas = drawn["gas"] if drawn["what"] != "bouquet" else Gas.HELIUM
    how = {"treated": drawn["treated"] and gas is Gas.HELIUM, "gas": gas}
    if drawn["what"] == "bouquet":
        first = design_line(design, min(drawn["quantity"], 6), **how)
    else:
        first = line(catalogue, drawn["what"], drawn["quantity"], **how)
    beside = [line(catalogue, drawn["beside"], 2)] if drawn["beside"] else []
    start = at(10) + timedelta(minutes=15 * drawn["lead"])
    hours = {"event_start": start, "lasts_until": start + timedelta(hours=drawn["hours"])}
    if drawn["until"]:
        hours = {"event_start": None, "lasts_until": at(10) + timedelta(hours=min(drawn["hours"], 20))}
        hours["occasion"] = Occasion.UNTIL
    if drawn["handed"] == "delivered":
        hours |= {
            "hand_over": HandOver.DELIVER,
            "travel_minutes": 45,
            "arrives_at": at(10),
            "address": "4 Mill Lane",
        }
    elif drawn["handed"] == "in two parts" and beside:
        first = replace(first, later=True)
        hours["later_at"] = at(10, 30)
    ready_by = at(9, 15) if drawn["handed"] == "delivered" else at(10)
    return order_request(catalogue, first, *beside, ready_by=ready_by, **hours)


@settings(max_examples=100, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(drawn=orders)
def test_what_is_offered_makes_its_line_safe_and_what_is_left_out_would_not(designed, drawn):
    """A hundred orders against a search of its own: every size, every film, every quarter of an hour, every hour
    of being let in."""
    ask, shop, catalogue, design = designed
    wanted = _order(catalogue, design, drawn)
    quote = _asked(wanted, ask)
    if quote is None:
        return
    found = find_alternatives(quote, ask, shop, catalogue, ask.now)
    offered = {alternative.key: alternative for alternative in found if alternative.line == 0}
    for alternative in offered.values():
        asked = ask(alternative.quote.request)
        assert (line_verdict(asked, 0), asked.late_run) == (Verdict.SAFE, None)
    if line_verdict(quote, 0) is Verdict.SAFE:
        assert not offered
    else:
        assert set(offered) == {
            way for way, tries in _every_try(wanted, catalogue) if any(_is_safe(t, ask) for t in tries)
        }


@pytest.fixture
def designed(session, shop, catalogue):
    design = bouquet(session, catalogue)
    catalogue = load_catalogue(session)
    return _ask(shop, catalogue), shop, catalogue, design


def _asked(wanted, ask):
    """None where the hours drawn are refused: a later part after the end."""
    try:
        return ask(wanted)
    except Refused:
        return None


def _is_safe(wanted, ask):
    """Whether the line floats and one person who begins now has it ready in time."""
    try:
        quote = ask(wanted)
    except Refused:
        return False
    return line_verdict(quote, 0) is Verdict.SAFE and quote.late_run is None


def _every_try(wanted, catalogue):
    asked = wanted.lines[0]
    of_kind = asked.balloon_type_id is not None
    helium = asked.gas is Gas.HELIUM

    def other(**changes):
        return replace(wanted, lines=(replace(asked, **changes), *wanted.lines[1:]))

    nominal = catalogue.balloon_types[asked.balloon_type_id].nominal_in if of_kind else 0
    larger = [
        k
        for k in catalogue.balloon_types.values()
        if k.material == "latex" and k.nominal_in > nominal and not k.air_only
    ]
    films = {
        m: [k for k in catalogue.balloon_types.values() if k.material == m and not k.air_only]
        for m in ("foil", "sphere")
    }
    later = list(_later_hours(wanted))
    yield AlternativeChange.TREAT, [other(treated=True)] if helium and not asked.treated else []
    yield AlternativeChange.LATER, [_moved(wanted, hour) for hour in later]
    yield (
        AlternativeChange.LATER_PART,
        [replace(other(later=True), later_at=hour) for hour in later if not asked.later or hour > wanted.later_at],
    )
    starts = wanted.event_start
    yield (
        AlternativeChange.VENUE,
        [_let_in(wanted, starts - timedelta(minutes=15 * n)) for n in range(24)] if starts else [],
    )
    yield (
        AlternativeChange.LARGER,
        [other(balloon_type_id=balloon_type.id) for balloon_type in larger] if helium and of_kind else [],
    )
    for material, rows in films.items():
        film = rows if of_kind else []
        yield (
            material,
            [other(balloon_type_id=balloon_type.id, treated=False, gas=Gas.HELIUM) for balloon_type in film],
        )
    yield AlternativeChange.AIR, [other(gas=Gas.AIR, treated=False)] if helium and of_kind else []


def _later_hours(wanted):
    """Every quarter at which the shop is open, up to the event's start, or to the end where nobody said one."""
    latest = wanted.event_start or wanted.lasts_until
    travel = timedelta(minutes=wanted.travel_minutes)
    for n in range(1, 4 * 24 * 2):
        hour = wanted.ready_by + timedelta(minutes=15 * n)
        if hour + travel <= latest and _open(hour):
            yield hour


def _moved(wanted, hour):
    arrives = hour + timedelta(minutes=wanted.travel_minutes) if wanted.arrives_at else None
    if wanted.later_at and wanted.later_at > hour:
        return replace(wanted, ready_by=hour, arrives_at=arrives)
    together = tuple(replace(line, later=False) for line in wanted.lines)
    return replace(wanted, ready_by=hour, arrives_at=arrives, later_at=None, lines=together)


def _let_in(wanted, hour):
    """As the shop's settings have it: half an hour of hanging, twenty minutes of setting up, and half an hour of
    travel where nobody said."""
    travel = wanted.travel_minutes or 30
    return replace(
        wanted,
        lines=tuple(replace(line, later=False) for line in wanted.lines),
        later_at=None,
        hand_over=HandOver.VENUE,
        ready_by=hour - timedelta(minutes=travel),
        arrives_at=hour,
        travel_minutes=travel,
        set_up_minutes=20,
        hanging_minutes=30,
        crew=2,
    )


def _open(hour):
    """Eight to six, the closing hour included."""
    return 8 * 60 < hour.hour * 60 + hour.minute <= 18 * 60
