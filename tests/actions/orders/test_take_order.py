"""Taking an order: its number, its batches, its price; and what it is refused for."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from sqlalchemy import func, select

from app.actions.bench.fit import fit_with_others, load_bench
from app.actions.money.account import load_account
from app.actions.orders.overrides import NO_ACCEPTED_RISK, NO_BENCH_OVERRIDE
from app.actions.orders.take import key_taken, take_order
from app.actions.records.history import history_of
from app.actions.records.shop import load_shop
from app.craft.colours import describe_sum
from app.physics.balloon import Gas
from app.physics.material import Material, materials_that
from app.planning.finishing import Fit
from app.planning.shoptime import Fold, to_utc
from app.planning.window import Verdict
from app.quoting.checks import EVENT_IN_THE_PAST, NOT_BEFORE_THE_END, PAST, TOO_FAR, TOO_LATE, TOO_LONG
from app.quoting.errors import NO_LONGER_SOLD, Refused
from app.quoting.fills import TOO_HIGH_TO_FLOAT
from app.quoting.parts import AIR_NOT_TREATED, DESIGN_NO_LONGER_SOLD, NOT_TREATED, TOO_HEAVY_TO_FLOAT
from app.quoting.quote import make_quote
from app.quoting.request import HandOver, Occasion
from app.quoting.runs import NEVER_OPEN
from app.store.models import Counter, HistoryEntry, Order, OrderBatch
from app.web.formats import Formats
from app.web.wording.caller import caller_summary
from tests.actions.builders import (
    MORNING,
    at,
    bouquet,
    change_type,
    ctx,
    design_line,
    line,
    order_request,
    problems,
    take,
)


def _count(session, table):
    return session.scalar(select(func.count()).select_from(table))


def _said(order, session):
    return caller_summary(order, load_account(session, order).balance, Formats.of(load_shop(session)))


def test_it_gets_the_next_number_and_stands_open(session, catalogue):
    first, second = take(session, order_request(catalogue)), take(session, order_request(catalogue), key="key-2")
    assert (first.version, first.state, first.verdict, first.taken_at) == (1, "open", "safe", MORNING)
    assert second.number == first.number + 1
    assert session.scalars(select(Order).where(Order.number == first.number)).one() is first


def test_its_history_begins_with_who_took_it(session, catalogue):
    (entry,) = history_of(session, take(session, order_request(catalogue)))
    assert (entry.act, entry.who, entry.at, entry.order_version) == ("saved", "Maren", MORNING, 1)


def test_the_board_learns_of_it(session, catalogue):
    before = session.get(Counter, "board").value
    take(session, order_request(catalogue))
    session.expire_all()
    assert session.get(Counter, "board").value == before + 1


def test_what_is_filled_alike_is_one_batch_with_its_colours_added_up(session, catalogue):
    lines = (line(catalogue, quantity=12, colours="red, white"), line(catalogue, quantity=6, colours="red"))
    (batch,) = take(session, order_request(catalogue, *lines)).batches
    assert (batch.quantity, batch.colours) == (18, [["red", 12], ["white", 6]])


def test_kind_gas_and_treatment_each_make_a_batch_of_their_own(session, catalogue):
    lines = (
        line(catalogue, quantity=10),
        line(catalogue, quantity=4, treated=True),
        line(catalogue, quantity=3, gas=Gas.AIR),
        line(catalogue, "12 in latex", quantity=2),
    )
    order = take(session, order_request(catalogue, *lines, lasts_until=at(18)))
    laid = [(batch.balloon_type_name, batch.gas, batch.treated, batch.quantity) for batch in order.batches]
    assert laid == [
        ("11 in latex", "helium", False, 10),
        ("11 in latex", "helium", True, 4),
        ("11 in latex", "air", False, 3),
        ("12 in latex", "helium", False, 2),
    ]
    assert len({batch.key for batch in order.batches}) == 4


def test_colours_without_numbers_are_shared_out_evenly(session, catalogue):
    (batch,) = take(
        session, order_request(catalogue, line(catalogue, quantity=11, colours="red, white and blue"))
    ).batches
    assert batch.colours == [["red", 4], ["white", 4], ["blue", 3]]


def test_a_design_is_laid_as_its_parts_with_its_fixed_colours(session, catalogue):
    design = bouquet(session, catalogue)
    order = take(
        session, order_request(catalogue, design_line(design, 3), line(catalogue, quantity=5, colours="blue"))
    )
    laid = {batch.balloon_type_name: (batch.quantity, batch.colours) for batch in order.batches}
    assert laid == {"18 in foil": (3, [["silver", 3]]), "11 in latex": (32, [["blue", 32]])}


def test_the_price_is_quantity_times_unit_with_treatment_and_designs(session, catalogue):
    design = bouquet(session, catalogue, price=2600)
    lines = (
        line(catalogue, quantity=24),
        line(catalogue, quantity=10, treated=True),
        design_line(design, 2, treated=True),
    )
    order = take(session, order_request(catalogue, *lines))
    treated = load_shop(session).treat_minor
    units = [row.unit_minor for row in order.lines]
    assert units == [110, 110 + treated, 2600 + 9 * treated]
    assert order.total_minor == 24 * 110 + 10 * (110 + treated) + 2 * (2600 + 9 * treated)


def test_a_balloon_type_with_a_treated_price_of_its_own_costs_that(session, catalogue):
    """It goes before the treatment price, by itself and in a design; other types cost as before."""
    design = bouquet(session, catalogue, price=2600)
    catalogue = change_type(session, treated_minor=400)
    lines = (
        line(catalogue, quantity=24),
        line(catalogue, quantity=10, treated=True),
        line(catalogue, "16 in latex", quantity=3, treated=True),
        design_line(design, 2, treated=True),
    )
    order = take(session, order_request(catalogue, *lines))
    prices = {row.name: row.price_minor for row in catalogue.balloon_types.values()}
    sixteen = prices["16 in latex"] + load_shop(session).treat_minor
    assert [row.unit_minor for row in order.lines] == [110, 400, sixteen, 2600 + 9 * (400 - 110)]


def test_a_treated_price_that_equals_the_price_adds_nothing(session, catalogue):
    catalogue = change_type(session, treated_minor=110)
    assert take(session, order_request(catalogue, line(catalogue, quantity=10, treated=True))).total_minor == 1100


def test_the_read_back_names_weekday_hours_and_lines(session, catalogue):
    order = take(session, order_request(catalogue, ready_by=at(18), event_start=at(21), lasts_until=at(2, days=1)))
    said, formats = _said(order, session), Formats.of(load_shop(session))
    day = formats.local(order.event_start).date()
    facts = (
        f"{order.number} for Wilhelmina Hart",
        "24 × 11 in latex (red)",
        formats.moment(order.event_start),
        formats.short_moment(order.lasts_until, day),
        formats.moment(order.ready_by),
        formats.money(2640),
    )
    assert [said.index(fact) for fact in facts] == sorted(said.index(fact) for fact in facts)


def test_the_same_client_key_gives_the_same_order_once(session, catalogue):
    first, second = take(session, order_request(catalogue)), take(session, order_request(catalogue))
    assert second is first
    assert (_count(session, Order), _count(session, OrderBatch), _count(session, HistoryEntry)) == (1, 1, 1)


def test_a_number_that_was_not_used_is_not_lost_to_a_repeated_key(session, catalogue):
    first = take(session, order_request(catalogue))
    take(session, order_request(catalogue))
    assert take(session, order_request(catalogue), key="key-2").number == first.number + 1


def test_an_order_until_an_hour_needs_no_event(session, catalogue):
    until = order_request(catalogue, occasion=Occasion.UNTIL, event_start=None, lasts_until=at(20))
    order = take(session, until)
    assert (order.event_start, order.lasts_until, order.verdict) == (None, at(20), "safe")
    assert Formats.of(load_shop(session)).moment(at(20)) in _said(order, session)


def test_an_order_at_once_is_ready_as_soon_as_the_bench_can_on_the_shops_step(session, catalogue):
    at_once = order_request(catalogue, occasion=Occasion.NOW, ready_by=None, event_start=None, lasts_until=None)
    order = take(session, at_once, now=at(9, 2))
    (batch,) = order.batches
    begun_now = at(9, 2) + timedelta(minutes=batch.work_minutes + order.finishing_minutes)
    assert begun_now <= order.ready_by < begun_now + timedelta(minutes=15)
    assert order.ready_by.minute % 15 == 0
    assert (order.verdict, order.lasts_until) == ("safe", None)
    assert Formats.of(load_shop(session)).moment(order.ready_by) in _said(order, session)


def test_an_order_at_once_before_opening_waits_for_the_door(session, catalogue):
    at_once = order_request(catalogue, occasion=Occasion.NOW, ready_by=None, event_start=None, lasts_until=None)
    order = take(session, at_once, now=at(5))
    (batch,) = order.batches
    assert order.ready_by >= at(8) + timedelta(minutes=batch.work_minutes + order.finishing_minutes)


def test_a_delivery_is_ready_when_the_van_must_leave(session, catalogue):
    arrival, travel = at(14), 40
    delivered = order_request(
        catalogue,
        hand_over=HandOver.DELIVER,
        arrives_at=arrival,
        travel_minutes=travel,
        ready_by=arrival - timedelta(minutes=travel),
        address="4 Mill Lane",
    )
    order = take(session, delivered)
    assert order.ready_by == order.arrives_at - timedelta(minutes=40)
    said, formats = _said(order, session), Formats.of(load_shop(session))
    assert all(fact in said for fact in ("4 Mill Lane", formats.moment(arrival), formats.clock(order.ready_by)))


def test_an_event_over_midnight_counts_its_real_hours(session, catalogue):
    evening = order_request(catalogue, ready_by=at(18), event_start=at(21), lasts_until=at(23))
    short = take(session, evening)
    long = take(session, replace(evening, lasts_until=at(0, 30, days=1)), key="key-2")
    (earlier,), (later,) = short.batches, long.batches
    assert later.not_before - earlier.not_before == timedelta(hours=1, minutes=30)


def test_a_night_with_a_clock_change_counts_the_hour_that_the_clocks_hide(session, catalogue):
    """25 October 2026: London's clocks go back at 02:00, so 01:00 to 03:00 lasts three hours."""
    zone = load_shop(session).zone
    start = to_utc(datetime(2026, 10, 24, 20), zone)
    ends = [to_utc(datetime(2026, 10, 25, 1), zone, Fold.FIRST), to_utc(datetime(2026, 10, 25, 3), zone)]
    now = datetime(2026, 10, 24, 7, tzinfo=UTC)
    ready = start - timedelta(hours=4)
    orders = [
        take(
            session,
            order_request(catalogue, ready_by=ready, event_start=start, lasts_until=end, accepted_risk="so be it"),
            now=now,
            key=f"key-{end}",
        )
        for end in ends
    ]
    (first,), (second,) = (order.batches for order in orders)
    assert second.not_before - first.not_before == timedelta(hours=3)


def test_a_promise_that_is_not_safe_is_refused_without_the_callers_word(session, catalogue):
    with pytest.raises(Refused) as refusal:
        take(session, order_request(catalogue, lasts_until=at(23, days=1)))
    assert refusal.value.problems == (NO_ACCEPTED_RISK,)
    assert _count(session, Order) == 0


def test_blanks_are_no_word(session, catalogue):
    with pytest.raises(Refused) as refusal:
        take(session, order_request(catalogue, lasts_until=at(23, days=1), accepted_risk="   "))
    assert refusal.value.problems == (NO_ACCEPTED_RISK,)


def test_with_the_callers_word_it_is_taken_and_the_word_is_kept(session, catalogue):
    order = take(
        session, order_request(catalogue, lasts_until=at(23, days=1), accepted_risk="Only the cake matters.")
    )
    assert (order.verdict, order.accepted_risk) == ("wont-last", "Only the cake matters.")


def test_a_chancy_promise_asks_for_the_word_too(session, catalogue):
    certain = take(session, order_request(catalogue, lasts_until=at(20))).batches[0]
    edge = certain.not_before
    risky = at(20) + (certain.inflate_by - edge) + timedelta(minutes=60)
    with pytest.raises(Refused) as refusal:
        take(session, order_request(catalogue, lasts_until=risky), key="key-2")
    assert refusal.value.problems == (NO_ACCEPTED_RISK,)
    order = take(session, order_request(catalogue, lasts_until=risky, accepted_risk="Fine."), key="key-2")
    assert (order.verdict, order.accepted_risk) == ("risky", "Fine.")


def test_a_safe_promise_keeps_no_word(session, catalogue):
    assert take(session, order_request(catalogue, accepted_risk="Said for nothing.")).accepted_risk == ""


def test_an_order_is_as_good_as_its_worst_batch(session, catalogue):
    lines = (line(catalogue, "36 in latex", quantity=1), line(catalogue, "9 in latex", quantity=2))
    order = take(session, order_request(catalogue, *lines, lasts_until=at(23), accepted_risk="Fine."))
    assert {batch.verdict for batch in order.batches} == {"safe", "wont-last"}
    assert order.verdict == "wont-last"


def test_a_bench_too_late_says_nothing_against_floating_and_asks_for_its_own_reason(session, shop, catalogue):
    """Started by 08:10 they would be ready and safe; it is half past eight."""
    late = order_request(catalogue, line(catalogue, quantity=48), ready_by=at(9))
    quote = make_quote(late, shop, catalogue, at(8, 30))
    assert quote.float_verdict is Verdict.SAFE
    assert quote.late_run is quote.runs[0]
    assert fit_with_others(quote, load_bench(ctx(session, now=at(8, 30)), quote)).fit is Fit.CANNOT
    with pytest.raises(Refused) as refusal:
        take(session, late, now=at(8, 30))
    assert refusal.value.problems == (NO_BENCH_OVERRIDE,)
    order = take(session, replace(late, bench_override="They wait for it in the shop."), now=at(8, 30))
    assert (order.verdict, order.bench_override) == ("safe", "They wait for it in the shop.")
    assert [batch.verdict for batch in order.batches] == ["safe"]


def test_a_bench_too_late_for_what_will_not_float_either_asks_for_both(session, catalogue):
    wanted = order_request(catalogue, line(catalogue, quantity=400), ready_by=at(9), lasts_until=at(20, days=1))
    with pytest.raises(Refused) as refusal:
        take(session, wanted, now=at(8, 30))
    assert refusal.value.problems == (NO_ACCEPTED_RISK, NO_BENCH_OVERRIDE)
    order = take(session, replace(wanted, accepted_risk="Fine.", bench_override="They wait."), now=at(8, 30))
    assert (order.verdict, order.accepted_risk, order.bench_override) == ("wont-last", "Fine.", "They wait.")


def test_a_line_that_cannot_be_is_refused_at_its_place(session, catalogue):
    lines = (line(catalogue), line(catalogue, "18 in foil", quantity=1, treated=True))
    with pytest.raises(Refused) as refusal:
        take(session, order_request(catalogue, *lines))
    treated = materials_that(lambda traits: traits.can_be_treated)
    sentence = NOT_TREATED.format(material=Material.FOIL, treated=treated)
    assert problems(refusal) == {("treated", 1): [sentence]}


def test_air_filled_latex_is_not_treated(session, catalogue):
    with pytest.raises(Refused) as refusal:
        take(session, order_request(catalogue, line(catalogue, gas=Gas.AIR, treated=True)))
    assert problems(refusal) == {("treated", 0): [AIR_NOT_TREATED.format(material=Material.LATEX)]}


def test_a_foil_too_small_to_rise_is_refused_helium(session, catalogue):
    with pytest.raises(Refused) as refusal:
        take(session, order_request(catalogue, line(catalogue, "9 in foil", quantity=1)))
    assert problems(refusal) == {("gas", 0): [TOO_HEAVY_TO_FLOAT.format(name="9 in foil")]}
    with_air = take(session, order_request(catalogue, line(catalogue, "9 in foil", quantity=1, gas=Gas.AIR)))
    assert with_air.batches[0].gas == "air"


def test_a_foil_too_high_up_to_rise_is_refused(session, catalogue):
    with pytest.raises(Refused) as refusal:
        take(session, order_request(catalogue, line(catalogue, "18 in foil", quantity=1), venue_elevation_m=5000.0))
    assert problems(refusal) == {("what", 0): [TOO_HIGH_TO_FLOAT.format(name="18 in foil", height=5000)]}


def test_colours_that_do_not_add_up_are_refused(session, catalogue):
    with pytest.raises(Refused) as refusal:
        take(session, order_request(catalogue, line(catalogue, quantity=24, colours="12 red, 10 white")))
    assert problems(refusal) == {("colours", 0): [describe_sum(22, 24)]}


def test_a_kind_or_design_that_is_gone_is_refused(session, catalogue):
    gone = (line(catalogue, balloon_type_id=999), line(catalogue, balloon_type_id=None, design_id=999))
    for lost, sentence in zip(gone, (NO_LONGER_SOLD, DESIGN_NO_LONGER_SOLD), strict=True):
        with pytest.raises(Refused) as refusal:
            take(session, order_request(catalogue, lost))
        assert problems(refusal) == {("what", 0): [sentence]}


@pytest.mark.parametrize(
    ("changes", "field", "sentence"),
    [
        ({"event_start": at(6)}, "event_start", EVENT_IN_THE_PAST),
        ({"ready_by": at(6)}, "ready_by", PAST),
        ({"ready_by": at(16)}, "ready_by", TOO_LATE[HandOver.COLLECT]),
        ({"lasts_until": at(19, days=40)}, "lasts_until", TOO_LONG),
        ({"event_start": at(15, days=800), "lasts_until": at(19, days=800)}, "event_start", TOO_FAR),
        (
            {"occasion": Occasion.UNTIL, "event_start": None, "lasts_until": at(13)},
            "ready_by",
            NOT_BEFORE_THE_END,
        ),
    ],
)
def test_hours_that_cannot_be_are_refused(session, catalogue, changes, field, sentence):
    with pytest.raises(Refused) as refusal:
        take(session, order_request(catalogue, **changes))
    assert problems(refusal)[field][0].startswith(sentence)
    assert _count(session, Order) == 0


def test_a_shop_that_is_never_open_takes_nothing(session, catalogue, shop):
    closed = replace(shop, opening=replace(shop.opening, week={}))
    with pytest.raises(Refused) as refusal:
        take_order(
            ctx(session, who="Maren", shop=closed, catalogue=catalogue, now=MORNING),
            order_request(catalogue),
            "key-1",
        )
    assert refusal.value.problems == (NEVER_OPEN,)


def test_a_kinds_price_is_the_shops(session, catalogue):
    catalogue = change_type(session, price_minor=333)
    assert take(session, order_request(catalogue)).total_minor == 24 * 333


@pytest.mark.parametrize("slip", [{"notes": "Ring twice"}, {"ready_by": at(13)}, {"venue_celsius": 30.0}])
def test_the_same_form_with_something_else_in_it_is_refused_and_says_which_order(session, catalogue, slip, order):
    with pytest.raises(Refused) as refusal:
        take(session, order_request(catalogue, **slip))
    assert refusal.value.problems == (key_taken(order.number, order.customer),)
    assert _count(session, Order) == 1
