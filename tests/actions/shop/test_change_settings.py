"""The owner's settings, and what they change in open orders."""

import pytest

from app.actions.orders.cancel import cancel_order
from app.actions.records.shop import load_shop, setting_values
from app.actions.shop.office import change_settings, replan_open_orders
from app.quoting.errors import Refused
from app.quoting.settings.all_settings import SETTINGS
from app.store.models import Counter
from tests.actions.builders import CALLED_OFF, EIGHT, MORNING, at, ctx, order_request, problems, take, tap

NUMBERS = [setting for setting in SETTINGS if not setting.is_text and setting.unit != "money"]
MONEY = [setting for setting in SETTINGS if setting.unit == "money"]
WHOLE = [setting for setting in NUMBERS if isinstance(setting.default, int)]


def test_what_was_changed_is_saved_and_the_shop_is_built_from_it(session):
    change_settings(session, {"name": "The Test Shop", "shop_celsius": 18.5, "treat_minor": 75, "clock": "12 h"})
    shop = load_shop(session)
    assert (shop.display["name"], shop.air.celsius, shop.treat_minor) == ("The Test Shop", 18.5, 75)


def test_what_was_not_changed_stays(session):
    before = setting_values(session)
    change_settings(session, {"tag_g": 1.2})
    assert setting_values(session) == before | {"tag_g": 1.2}


@pytest.mark.parametrize("setting", NUMBERS + MONEY, ids=lambda setting: setting.key)
def test_a_number_out_of_its_range_is_refused_with_its_range(session, setting):
    before = setting_values(session)
    for outside in (setting.low - 1, setting.high + 1):
        with pytest.raises(Refused) as refusal:
            change_settings(session, {setting.key: outside})
        (sentence,) = problems(refusal)[setting.key]
        assert setting.range_words in sentence
        assert f"{setting.high:.10g}" in sentence
    assert setting_values(session) == before


@pytest.mark.parametrize("setting", NUMBERS, ids=lambda setting: setting.key)
def test_both_ends_of_a_range_are_allowed(session, setting):
    for end in (setting.low, setting.high):
        # What is called risky must stay below what is called safe.
        other = {"lower_limit_percent": 1} if setting.key == "certainty_percent" else {}
        other |= {"certainty_percent": 99.9} if setting.key == "lower_limit_percent" else {}
        change_settings(session, {setting.key: end} | other)
        assert setting_values(session)[setting.key] == end


@pytest.mark.parametrize("value", ["", "warm", "20", float("nan"), float("inf"), float("-inf")])
def test_what_is_no_number_is_refused_with_its_range(session, value):
    with pytest.raises(Refused) as refusal:
        change_settings(session, {"shop_celsius": value})
    (sentence,) = problems(refusal)["shop_celsius"]
    assert next(setting for setting in NUMBERS if setting.key == "shop_celsius").range_words in sentence


@pytest.mark.parametrize("setting", WHOLE, ids=lambda setting: setting.key)
def test_a_whole_number_has_no_fraction(session, setting):
    with pytest.raises(Refused) as refusal:
        change_settings(session, {setting.key: setting.low + 0.5})
    assert list(problems(refusal)) == [setting.key]
    assert setting.range_words in problems(refusal)[setting.key][0]


@pytest.mark.parametrize(
    ("key", "typed", "allowed"),
    [
        ("zone", "Mars/Olympus", "Europe/London"),
        ("zone", "", "Europe/London"),
        ("clock", "13 h", "24 h, 12 h"),
        ("temperature", "K", "°C, °F"),
        ("length", "ft", "in, cm"),
        ("name", "x" * 61, "60"),
        ("currency_symbol", "crowns", "5"),
        ("caution", "x" * 1001, "1000"),
    ],
)
def test_a_text_that_is_not_allowed_is_refused_with_what_is(session, key, typed, allowed):
    with pytest.raises(Refused) as refusal:
        change_settings(session, {key: typed})
    assert list(problems(refusal)) == [key]
    assert allowed in problems(refusal)[key][0]


def test_every_choice_has_a_label():
    for setting in SETTINGS:
        assert list(setting.labels) == list(setting.choices)
        assert all(setting.labels.values())


def test_risky_begins_below_safe(session):
    with pytest.raises(Refused) as refusal:
        change_settings(session, {"certainty_percent": 80, "lower_limit_percent": 90})
    assert list(problems(refusal)) == ["lower_limit_percent"]


def test_nothing_is_half_saved_and_each_wrong_one_has_its_problem(session):
    before = setting_values(session)
    with pytest.raises(Refused) as refusal:
        change_settings(session, {"name": "New name", "tag_g": -1, "shop_celsius": 99})
    assert set(problems(refusal)) == {"tag_g", "shop_celsius"}
    assert setting_values(session) == before


def test_a_warmer_shop_moves_the_windows_of_open_orders(session, order):
    (batch,) = order.batches
    not_before, inflate_by = batch.not_before, batch.inflate_by
    board = session.get(Counter, "board").value
    change_settings(session, {"shop_celsius": 27})
    assert replan_open_orders(ctx(session, now=EIGHT)) == []
    assert batch.not_before > not_before
    assert batch.inflate_by == inflate_by
    session.expire_all()
    assert session.get(Counter, "board").value > board


def test_slower_handling_moves_the_latest_start(session, order):
    (batch,) = order.batches
    inflate_by, minutes = batch.inflate_by, batch.work_minutes
    change_settings(session, {"handle_seconds": 96})
    replan_open_orders(ctx(session, now=EIGHT))
    assert batch.work_minutes == minutes + 24
    assert (inflate_by - batch.inflate_by).total_seconds() == 24 * 60


def test_an_order_keeps_its_price_and_accepted_risk_when_it_is_recalculated(session, catalogue):
    order = take(session, order_request(catalogue, lasts_until=at(20, days=1), accepted_risk="Fine."))
    total = order.total_minor
    change_settings(session, {"treat_minor": 900, "spread_untreated": 0.3})
    replan_open_orders(ctx(session, now=EIGHT))
    assert (order.total_minor, order.accepted_risk, order.version) == (total, "Fine.", 1)


def test_a_started_batch_keeps_its_taps_when_it_is_recalculated(session, order):
    (batch,) = order.batches
    tap(session, batch, "fill", count=10)
    change_settings(session, {"shop_celsius": 27})
    replan_open_orders(ctx(session, now=at(9)))
    assert (batch.filled, batch.started_at) == (10, EIGHT)


def test_cancelled_orders_are_left_as_they_were(session, order):
    cancel_order(ctx(session, who="Maren", now=MORNING), order.number, 1, CALLED_OFF)
    not_before = order.batches[0].not_before
    change_settings(session, {"shop_celsius": 27})
    replan_open_orders(ctx(session, now=EIGHT))
    assert order.batches[0].not_before == not_before


def test_an_order_that_can_no_longer_be_made_is_named_and_promises_nothing(session, order):
    not_before = order.batches[0].not_before
    change_settings(session, {"tag_g": 50})
    (worse,) = replan_open_orders(ctx(session, now=EIGHT))
    assert (worse.number, worse.before, worse.now) == (order.number, "safe", "wont-last")
    assert "11 in latex" in worse.refusal
    assert (order.verdict, order.batches[0].verdict) == ("wont-last", "wont-last")
    assert order.batches[0].not_before == not_before
