"""What would work instead: offered only when it was worked out to be safe, and nothing that works is left out."""

from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from app.actions.catalogue.balloon_types import retire_kind
from app.actions.errors import Refused
from app.actions.records.shop import load_goods, load_shop
from app.actions.shop.office import change_settings
from app.physics.balloon import Gas
from app.planning.window import Verdict
from app.quoting.alternatives import Way, line_verdict, remedies
from app.quoting.checks import check_hours
from app.quoting.quote import quote, waited
from app.quoting.request import HandOver, Occasion
from tests.actions.builders import MORNING, at, bouquet, design_line, kind_id, line, wish

LATEX = ("9 in latex", "11 in latex", "12 in latex", "16 in latex", "24 in latex")


@pytest.fixture
def ask(session, shop, goods):
    """The counter's quote three days before the Saturday of the tests."""
    return _ask(shop, goods)


def _ask(shop, goods, now=MORNING - timedelta(days=3)):
    def ask(wanted):
        check_hours(wanted, now)
        return quote(wanted, shop, goods, now)

    ask.now = now
    return ask


def _party(goods, *lines, **changes):
    """Two dozen, collected at nine for a party from six to midnight: too long for untreated 11-inch."""
    hours = {"ready_by": at(9), "event_start": at(18), "lasts_until": at(0, days=1)}
    return wish(goods, *lines, **(hours | changes))


def _offered(wanted, ask, shop, goods):
    return {way.way: way for way in remedies(ask(wanted), ask, shop, goods, ask.now)}


def test_the_worked_case_has_its_remedies(session, ask, shop, goods):
    """Worked case 1, reckoned independently: 20 minutes of filling, treated or not, and 10 of tail."""
    change_settings(session, {"treat_seconds": "0"})
    shop = load_shop(session)
    ask = _ask(shop, goods)
    assert ask(_party(goods)).batches[0].fill.work == timedelta(minutes=20)
    ways = _offered(_party(goods), ask, shop, goods)
    treated = ways[Way.TREAT].answer.batches[0].window
    assert treated.inflate_by == at(17, 40, days=-1)
    assert ways[Way.LATER].answer.ready_by == at(14, 45)
    larger = ways[Way.LARGER]
    assert larger.answer.lines[0].title == "16 in latex"
    assert larger.answer.batches[0].window.not_before == at(23, 59, days=-1)


def test_a_retired_kind_is_no_way_out(session, ask, shop, goods):
    """Without the 16-inch the next larger one that works is the 18-inch; without foils there is no foil."""
    for name in ("16 in latex", "18 in foil", "22 in foil", "36 in jumbo foil"):
        retire_kind(session, kind_id(goods, name), MORNING)
    ways = _offered(_party(goods), ask, shop, goods)
    assert ways[Way.LARGER].answer.lines[0].title == "18 in latex"
    assert Way.FOIL not in ways


def test_a_safe_line_is_offered_nothing(ask, shop, goods):
    assert _offered(wish(goods), ask, shop, goods) == {}


def test_the_cheapest_that_works_stands_first(ask, shop, goods):
    found = remedies(ask(_party(goods)), ask, shop, goods, ask.now)
    costs = [remedy.costs_minor for remedy in found]
    assert costs == sorted(costs)
    assert {way.way for way in found} == set(Way) - {Way.LATER_PART}


def test_the_difference_in_price_is_that_of_the_two_quotes(ask, shop, goods):
    wanted = _party(goods)
    treated = _offered(wanted, ask, shop, goods)[Way.TREAT]
    assert treated.costs_minor == 24 * shop.treat_minor
    assert treated.answer.total_minor == ask(wanted).total_minor + treated.costs_minor


def test_the_other_lines_stay_as_they_are(ask, shop, goods):
    wanted = _party(goods, line(goods, "18 in foil", quantity=2), line(goods))
    for remedy in remedies(ask(wanted), ask, shop, goods, ask.now):
        assert remedy.line == 1
        assert remedy.answer.wish.lines[0] == wanted.lines[0]


def test_a_design_can_be_treated_or_collected_later(session, ask, shop, goods):
    design = bouquet(session, goods)
    goods = load_goods(session)
    ask = _ask(shop, goods)
    ways = {Way.TREAT, Way.LATER, Way.LATER_PART, Way.VENUE}
    assert set(_offered(_party(goods, design_line(design)), ask, shop, goods)) == ways


def test_nothing_later_is_offered_while_the_shop_is_closed(session, ask, shop, goods):
    """An event at nine in the evening, latex that must be filled after six: nobody is there."""
    wanted = _party(goods, event_start=at(21), lasts_until=at(5, days=1))
    assert Way.LATER not in _offered(wanted, ask, shop, goods)


def test_a_delivery_is_brought_later(ask, shop, goods):
    wanted = _party(
        goods,
        hand_over=HandOver.DELIVER,
        travel_minutes=30,
        ready_by=at(8, 30),
        arrives_at=at(9),
        address="4 Mill Lane",
    )
    later = _offered(wanted, ask, shop, goods)[Way.LATER].answer
    assert later.wish.arrives_at == later.ready_by + timedelta(minutes=30)
    assert later.wish.arrives_at <= wanted.event_start


def test_the_worked_case_can_be_filled_at_the_venue(ask, shop, goods):
    """Worked case 1: let in on the step so that filling, tail and hanging end as the party begins."""
    venue = _offered(_party(goods), ask, shop, goods)[Way.VENUE].answer
    assert venue.wish.hand_over is HandOver.VENUE
    assert venue.wish.arrives_at == at(16, 30)
    assert venue.leaves_at == at(16)
    assert venue.batches[0].window.not_before == at(16, 50)
    assert venue.batches[0].ready_by == at(17, 30)
    assert venue.total_minor == ask(_party(goods)).total_minor + shop.venue_minor


def test_a_venue_that_cannot_be_reached_in_time_is_not_offered(shop, goods):
    ask = _ask(shop, goods, now=at(17))
    assert Way.VENUE not in _offered(_party(goods, ready_by=at(17, 45)), ask, shop, goods)


def test_a_later_part_is_offered_where_something_else_goes_as_agreed(ask, shop, goods):
    wanted = _party(goods, line(goods, "18 in foil", quantity=2), line(goods))
    part = _offered(wanted, ask, shop, goods)[Way.LATER_PART].answer
    assert part.wish.later_at == at(14, 45)
    assert [batch.ready_by for batch in part.batches] == [at(9), at(14, 45)]
    assert part.total_minor == ask(wanted).total_minor


def test_a_line_alone_is_no_part(ask, shop, goods):
    assert Way.LATER_PART not in _offered(_party(goods), ask, shop, goods)


def test_waiting_tells_what_is_left_of_the_event(shop, goods):
    """Ready a quarter of an hour after a party of two hours began: up to its end, but that quarter is missed."""
    now = at(14, 40)
    wanted = wish(goods, ready_by=at(14, 45), event_start=at(15), lasts_until=at(17))
    late = quote(wanted, shop, goods, now)
    wait = waited(late, shop, goods, now)
    assert wait.wish.ready_by == late.ready_at == at(15, 15)
    assert wait.float_verdict is Verdict.SAFE


def test_an_order_that_is_late_anyway_is_offered_the_hour_it_is_ready(shop, goods):
    ask = _ask(shop, goods, now=at(13, 50))
    wanted = wish(goods)
    assert ask(wanted).ready_at == at(14, 30)
    assert _offered(wanted, ask, shop, goods)[Way.LATER].answer.ready_by == at(14, 30)


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


def _order(goods, design, drawn):
    gas = drawn["gas"] if drawn["what"] != "bouquet" else Gas.HELIUM
    how = {"treated": drawn["treated"] and gas is Gas.HELIUM, "gas": gas}
    if drawn["what"] == "bouquet":
        first = design_line(design, min(drawn["quantity"], 6), **how)
    else:
        first = line(goods, drawn["what"], drawn["quantity"], **how)
    beside = [line(goods, drawn["beside"], 2)] if drawn["beside"] else []
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
    return wish(goods, first, *beside, ready_by=ready_by, **hours)


@pytest.mark.parametrize("_share", range(4))
@settings(
    max_examples=300,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(drawn=orders)
def test_what_is_offered_makes_its_line_safe_and_what_is_left_out_would_not(designed, drawn, _share):
    """Over a thousand orders against a search of its own: every size, every film, every quarter of an hour, every
    hour of being let in."""
    ask, shop, goods, design = designed
    wanted = _order(goods, design, drawn)
    answer = _asked(wanted, ask)
    if answer is None:
        return
    found = remedies(answer, ask, shop, goods, ask.now)
    offered = {remedy.way: remedy for remedy in found if remedy.line == 0}
    for remedy in offered.values():
        assert line_verdict(ask(remedy.answer.wish), 0) is Verdict.SAFE
    if line_verdict(answer, 0) is Verdict.SAFE:
        assert not offered
    else:
        assert set(offered) == {
            way for way, tries in _every_try(wanted, goods) if any(_is_safe(t, ask) for t in tries)
        }


@pytest.fixture
def designed(session, shop, goods):
    design = bouquet(session, goods)
    goods = load_goods(session)
    return _ask(shop, goods), shop, goods, design


def _asked(wanted, ask):
    """None where the hours drawn are refused: a later part after the end."""
    try:
        return ask(wanted)
    except Refused:
        return None


def _is_safe(wanted, ask):
    try:
        return line_verdict(ask(wanted), 0) is Verdict.SAFE
    except Refused:
        return False


def _every_try(wanted, goods):
    asked = wanted.lines[0]
    of_kind = asked.kind_id is not None
    helium = asked.gas is Gas.HELIUM

    def other(**changes):
        return replace(wanted, lines=(replace(asked, **changes), *wanted.lines[1:]))

    nominal = goods.kinds[asked.kind_id].nominal_in if of_kind else 0
    larger = [
        k for k in goods.kinds.values() if k.material == "latex" and k.nominal_in > nominal and not k.air_only
    ]
    films = {m: [k for k in goods.kinds.values() if k.material == m and not k.air_only] for m in ("foil", "sphere")}
    later = list(_later_hours(wanted))
    yield Way.TREAT, [other(treated=True)] if helium and not asked.treated else []
    yield Way.LATER, [_moved(wanted, hour) for hour in later]
    yield (
        Way.LATER_PART,
        [replace(other(later=True), later_at=hour) for hour in later if not asked.later or hour > wanted.later_at],
    )
    starts = wanted.event_start
    yield Way.VENUE, [_let_in(wanted, starts - timedelta(minutes=15 * n)) for n in range(24)] if starts else []
    yield Way.LARGER, [other(kind_id=kind.id) for kind in larger] if helium and of_kind else []
    for way, material in ((Way.FOIL, "foil"), (Way.SPHERE, "sphere")):
        film = films[material] if of_kind else []
        yield way, [other(kind_id=kind.id, treated=False, gas=Gas.HELIUM) for kind in film]
    yield Way.AIR, [other(gas=Gas.AIR, treated=False)] if helium and of_kind else []


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
