"""Sentences never promise more than was computed."""

from dataclasses import replace

import pytest

from app.actions.orders.surplus import NO_FATE, Surplus
from app.actions.records.descriptions import percent
from app.craft.price import Balance
from app.physics.balloon import Gas
from app.physics.promise import Promise
from app.planning.bench_window import BenchWindow
from app.planning.window import FloatOutcome, Limit, Verdict
from app.quoting.request import HandOver, Occasion
from app.quoting.states import OrderState
from app.store.models import OrderBatch, Tap
from app.store.queries.plan import SavedDelay
from app.web.requests import UNKNOWN_PERSON
from app.web.wording.bill import price_words
from app.web.wording.caller import caller_summary
from app.web.wording.orders import (
    confirmation_times,
    customer_act_words,
    order_act_words,
    person_name,
    ready_words,
    surplus_question,
    tap_words,
    unsized_fill_level,
    window_sentence,
)
from app.web.wording.outcome import chance_sentence, odds_words, outcome_sentence, worse_side
from tests.web.wording.stored_orders import FORMATS, READY, UNPAID, at, stored_order


def test_percent_is_rounded_down():
    assert [percent(chance) for chance in (0.9499, 0.95, 0.99999, 1.0, 0.0)] == [
        "94%",
        "95%",
        "99%",
        "100%",
        "0%",
    ]


MOST = Promise(22, 24)


@pytest.mark.parametrize(
    ("chance", "promise", "said"),
    [
        (0.95, MOST, "95% chance that at least 22 of the 24 are still up at 23:30."),
        (0.9499, MOST, "94% chance that at least 22 of the 24 are still up at 23:30."),
        (0.995, MOST, "Almost certain that at least 22 of the 24 are still up at 23:30."),
        (0.9949, Promise(6, 6), "99% chance that all 6 are still up at 23:30."),
        (0.3, Promise(2, 2), "30% chance that both are still up at 23:30."),
        (0.8, Promise(1, 1), "80% chance that it is still up at 23:30."),
        (0.01, Promise(1, 1), "1% chance that it is still up at 23:30."),
        (0.0099, MOST, "Almost certain to have sunk by 23:30."),
    ],
)
def test_the_sentence_of_a_chance_names_the_promise(chance, promise, said):
    assert chance_sentence(chance, promise, "23:30") == said


FLOATS, IN_DAYLIGHT = "94% chance that at least 22 of the 24 are still up at 23:30.", "It dulls and may burst."
WINDY = "It is too windy for helium outdoors."


def _outcome(chance=0.94, used=0.5, **verdicts):
    """What becomes of a batch that is safe but for the limits named. used: of its limit of light."""
    limits = dict.fromkeys(Limit, Verdict.SAFE) | {Limit(name): one for name, one in verdicts.items()}
    return FloatOutcome(chance, used, limits)


@pytest.mark.parametrize(
    ("outcome", "gas", "said"),
    [
        (_outcome(0.96), Gas.HELIUM, "96% chance that at least 22 of the 24 are still up at 23:30."),
        (_outcome(1.0), Gas.AIR, "They still look their best at 23:30."),
        (_outcome(float=Verdict.RISKY), Gas.HELIUM, FLOATS),
        (
            _outcome(used=1.3301, light=Verdict.RISKY),
            Gas.HELIUM,
            f"Too much light for latex: 134% of its limit by 23:30. {IN_DAYLIGHT}",
        ),
        (
            _outcome(1.0, used=2.0, light=Verdict.RISKY),
            Gas.AIR,
            f"Too much light for latex: 200% of its limit by 23:30. {IN_DAYLIGHT}",
        ),
        (
            _outcome(1.0, used=2.5, light=Verdict.WONT_LAST),
            Gas.AIR,
            "Far too much light for latex: 250% of its limit by 23:30. It dulls and bursts.",
        ),
        (_outcome(0.999, wind=Verdict.RISKY), Gas.HELIUM, WINDY),
        (_outcome(float=Verdict.RISKY, wind=Verdict.RISKY), Gas.HELIUM, f"{FLOATS} {WINDY}"),
        (
            _outcome(used=2.5, float=Verdict.RISKY, light=Verdict.WONT_LAST, wind=Verdict.RISKY),
            Gas.HELIUM,
            f"Far too much light for latex: 250% of its limit by 23:30. It dulls and bursts. {FLOATS} {WINDY}",
        ),
    ],
)
def test_the_sentence_of_an_outcome_says_all_that_is_wrong_the_worst_first(outcome, gas, said):
    assert outcome_sentence(outcome, MOST, "23:30", gas) == said


@pytest.mark.parametrize(
    ("chance", "said"),
    [
        (0.95, "19 times in 20"),
        (0.9, "9 times in 10"),
        (0.8, "4 times in 5"),
        (0.975, "39 times in 40"),
        (0.99, "99 times in 100"),
    ],
)
def test_a_chance_as_odds(chance, said):
    assert odds_words(chance) == said


@pytest.mark.parametrize(
    ("was", "now", "worse"),
    [
        ("safe", "risky", "is"),
        ("Risky", "Safe", "was"),
        ("risky", "won't last", "is"),
        ("won't last", "safe", "was"),
        ("95%", "92%", "is"),
        ("9%", "80%", "was"),
        ("100%", "99%", "is"),
        ("risky", "risky", ""),
        ("92%", "92%", ""),
        ("", "risky", ""),
        ("12 red", "14 red", ""),
        ("14:00", "15:00", ""),
    ],
)
def test_which_value_of_a_history_is_the_worse(was, now, worse):
    assert worse_side(was, now) == worse


def test_a_foil_is_full_or_so_much_of_full():
    assert (unsized_fill_level(1.0), unsized_fill_level(0.93)) == ("full", "to 93% of full")


START, END, AT = FORMATS.moment(at(1)), FORMATS.clock(at(5)), FORMATS.moment(READY)


def test_the_caller_hears_what_when_how_and_how_much():
    assert caller_summary(stored_order(), UNPAID, FORMATS) == (
        "Order 1007 for Wilhelmina Hart: 24 × 11 in latex (12 red, 12 white)."
        f" The event is on {START} to {END}. You collect them on {AT}. The price is £26.40."
    )


def test_the_caller_hears_of_a_gift_on_each():
    order = stored_order()
    order.lines[0].treated, order.lines[0].hung_g = True, 2.5
    assert caller_summary(order, UNPAID, FORMATS).startswith(
        "Order 1007 for Wilhelmina Hart: 24 × 11 in latex (12 red, 12 white), treated, with 2.5 g of gift or card"
        " on each. The event"
    )


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"event_start": None}, f"They must float until {FORMATS.moment(at(5))}."),
        ({"occasion": Occasion.NOW}, f"We fill them now. They are ready on {AT}."),
        (
            {"hand_over": HandOver.DELIVER, "arrives_at": at(0, 40), "address": "4 Mill Lane"},
            f"We deliver to 4 Mill Lane on {FORMATS.moment(at(0, 40))}. We leave here at 14:00.",
        ),
        (
            {"hand_over": HandOver.VENUE, "arrives_at": at(0, 40), "address": "4 Mill Lane", "crew": 2},
            "2 people fill them at 4 Mill Lane. Our crew can enter from"
            f" {FORMATS.moment(at(0, 40))}, and leaves here at 14:00.",
        ),
        (
            {"surroundings": "shade", "wind_m_s": 3.0},
            f"It is outdoors in the shade, with a wind of {FORMATS.wind(3.0)}.",
        ),
    ],
)
def test_the_caller_hears_what_differs(changes, sentence):
    assert sentence in caller_summary(stored_order(**changes), UNPAID, FORMATS)


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"verdict": Verdict.RISKY}, f"It is risky: they may not all last until {END}. You collect"),
        ({"verdict": Verdict.WONT_LAST}, f"We do not expect them to last until {END}. You collect"),
    ],
)
def test_the_caller_hears_that_balloons_may_not_last(changes, sentence):
    assert sentence in caller_summary(stored_order(state=OrderState.OPEN, **changes), UNPAID, FORMATS)


@pytest.mark.parametrize(
    "changes",
    [
        {"state": OrderState.OPEN, "verdict": Verdict.SAFE},
        {"state": OrderState.OPEN, "verdict": Verdict.RISKY, "lasts_until": None},
        {"state": OrderState.HANDED_OVER, "verdict": Verdict.RISKY},
    ],
)
def test_the_caller_hears_of_no_risk_where_there_is_none_to_tell(changes):
    summary = caller_summary(stored_order(**changes), UNPAID, FORMATS)
    assert not {"risky", "expect"} & set(summary.replace(":", "").split())


def test_the_caller_hears_of_rentals_and_deposits():
    order = stored_order(return_by=at(48), take_down_at=at(6), rental_deposit_minor=3000, deposit_asked_minor=1320)
    assert list(price_words(order, UNPAID, FORMATS)) == [
        f"Our crew takes everything down on {FORMATS.moment(at(6))}.",
        f"You bring the rentals back by {FORMATS.moment(at(48))}.",
        "The price is £26.40.",
        "The security deposit on the rentals is £30.00; you get it back when you return them. Together that is"
        " £56.40.",
        "You pay a deposit of £13.20 in advance; it is part of the price.",
    ]


@pytest.mark.parametrize(
    ("balance", "said"),
    [
        (Balance(1640, 1000), "You have paid £10.00, and £16.40 is still to pay."),
        (Balance(0, 2640), "Everything is paid."),
        (Balance(-500, 3140), "You have paid £5.00 too much; we refund it."),
    ],
)
def test_the_caller_hears_what_was_paid(balance, said):
    assert list(price_words(stored_order(deposit_asked_minor=900), balance, FORMATS)) == [
        "The price is £26.40.",
        said,
    ]


@pytest.mark.parametrize(
    ("balance", "said"),
    [
        (Balance(0, 0, True), "There is nothing more to pay or refund."),
        (Balance(-1000, 1000, True), "We refund you £10.00."),
        (Balance(-600, 1000, True, 400), "We keep a fee of £4.00. We refund you £6.00."),
        (Balance(400, 0, True, 400), "We keep a fee of £4.00. You still pay £4.00."),
        (Balance(0, 400, True, 400), "We keep a fee of £4.00. There is nothing more to pay or refund."),
    ],
)
def test_of_a_cancelled_order_the_caller_hears_only_the_money(balance, said):
    summary = caller_summary(stored_order(), balance, FORMATS)
    assert summary == f"Order 1007 for Wilhelmina Hart is cancelled. {said}"


@pytest.mark.parametrize(
    ("balance", "said"), [(UNPAID, "£26.40 is still to pay."), (Balance(0, 2640), "Everything is paid.")]
)
def test_of_what_was_handed_over_no_deposit_is_asked_in_advance(balance, said):
    order = stored_order(state=OrderState.HANDED_OVER, deposit_asked_minor=1320)
    assert list(price_words(order, balance, FORMATS)) == ["The price is £26.40.", said]


@pytest.mark.parametrize(
    ("balance", "said"),
    [
        (Balance(0, 0, is_not_made=True), "There is nothing more to pay or refund."),
        (Balance(-1000, 1000, is_not_made=True), "You have paid £10.00. We refund you £10.00."),
        (Balance(1640, 1000), "You have paid £10.00."),
    ],
    ids=["nothing paid", "part paid", "the other part handed over"],
)
def test_of_what_was_not_made_nothing_is_promised_and_nothing_asked(balance, said):
    order = stored_order(not_made_at=at(20), deposit_asked_minor=1320)
    assert caller_summary(order, balance, FORMATS) == (
        f"Order 1007 for Wilhelmina Hart: 24 × 11 in latex (12 red, 12 white). It was not made. {said}"
    )


def test_the_confirmation_says_when_everything_leaves_and_comes_back():
    order = stored_order(later_at=at(2), return_by=at(48), take_down_at=at(6))
    said = list(confirmation_times(order, FORMATS))
    assert said == [
        f"Collection on {FORMATS.day_with_year(READY)}, 14:00",
        f"Event: {FORMATS.day_with_year(READY)}, 15:00 to 19:00",
        f"Later part: {FORMATS.day_with_year(READY)}, 16:00",
        f"Rentals back by {FORMATS.day_with_year(at(48))}, 14:00",
        f"Take-down by our crew on {FORMATS.day_with_year(READY)}, 20:00",
    ]


def test_the_confirmation_says_when_the_crew_arrives():
    """It leaves at 14:00 and drives for 40 minutes, though the venue would let it in before."""
    there = {"hand_over": HandOver.VENUE, "arrives_at": at(-1), "travel_minutes": 40, "address": "4 Mill Lane"}
    assert list(confirmation_times(stored_order(**there), FORMATS)) == [
        f"Filled at 4 Mill Lane, our crew arrives on {FORMATS.day_with_year(READY)}, 14:40",
        f"Event: {FORMATS.day_with_year(READY)}, 15:00 to 19:00",
    ]


@pytest.mark.parametrize(
    ("act", "said"),
    [
        ("saved", "Order saved"),
        ("cancelled", "Order cancelled"),
        ("reopened", "Order reopened"),
        ("handed over", "Handed over"),
        ("photo added", "Photo added"),
    ],
)
def test_an_act_of_an_order(act, said):
    assert order_act_words(act) == said


def test_an_act_of_a_customer():
    assert customer_act_words("changed") == "Customer changed"
    assert customer_act_words("merged with a duplicate") == "Merged with a duplicate"


def test_a_person_without_a_name():
    assert (person_name("Isolde"), person_name(UNKNOWN_PERSON)) == ("Isolde", "no name")


@pytest.mark.parametrize(
    ("act", "said"),
    [
        ("start", "started"),
        ("fill", "12 filled"),
        ("finish", "last 12 filled"),
        ("burst", "12 red burst"),
        ("lose", "12 red burst after filling"),
        ("continue", "still being filled"),
        ("stop", "filling stopped"),
        ("bagged", "bagged"),
    ],
)
def test_a_tap(act, said):
    assert tap_words(Tap(act=act, count=12, colour="red")) == said


DELAY = SavedDelay("1007", READY, at(0, 38), (), 0, READY, READY, None, proved=True)


@pytest.mark.parametrize(
    ("delay", "is_planned", "said"),
    [
        (None, True, f"Can be ready by {AT}."),
        (None, False, f"Ready by {AT}."),
        (DELAY, True, f"Can't be ready by {AT}. It will be ready at about 14:38."),
        (replace(DELAY, proved=False), True, f"May not be ready by {AT}. It will be ready at about 14:38."),
        (replace(DELAY, ready_at=None), True, f"Can't be ready by {AT}, or on any of the next days."),
    ],
)
def test_whether_an_order_can_be_ready(delay, is_planned, said):
    assert ready_words(READY, delay, FORMATS, is_planned=is_planned) == said


def test_filled_balloons_left_over_are_asked_about_with_their_numbers():
    batch = OrderBatch(key="1007-1", balloon_type_name="11 in latex")
    assert surplus_question(Surplus(batch, 24, 20, 4, (("red", 4),))) == (
        "Of batch 1007-1 (11 in latex), 24 are filled already. The changed order needs 20. "
        "What becomes of the 4 left over?"
    )
    assert "1 is filled already" in surplus_question(Surplus(batch, 1, 0, 1, (("red", 1),)))
    assert NO_FATE.sentence == "More balloons are filled than the order now needs. Choose what becomes of them."


def test_what_was_put_back_is_said_in_the_history():
    assert tap_words(Tap(act="put back", count=4, colour="red")) == "4 red put back in stock"


@pytest.mark.parametrize(
    ("start", "now", "said"),
    [
        (-2, -3, "Fill any time until 12:00, ready by 14:00."),
        (-2, -1, "The latest start was 12:00, to be ready by 14:00."),
        (1, -1, "Can't be ready by 14:00: planned for 15:00."),
        (1, 2, "Can't be ready by 14:00: planned for 15:00."),
    ],
)
def test_a_start_after_the_hour_of_readiness_is_no_latest_start(start, now, said):
    window = BenchWindow(None, at(start), READY)
    assert window_sentence(window, FORMATS, READY.date(), at(now), lasts=True) == said
