"""A quote tells when the bench would be ready, if it cannot be in time."""

from datetime import timedelta

from app.planning.shoptime import step_up
from app.planning.window import Verdict
from app.quoting.quote import quote, waited
from app.web.formats import Formats
from app.web.wording.orders import late_sentence
from tests.actions.builders import at, line, wish


def test_it_says_the_hour_at_which_the_order_would_be_ready(shop, goods):
    now = at(9)
    answer = quote(wish(goods, line(goods, quantity=100), ready_by=at(10)), shop, goods, now)
    (batch,) = answer.batches
    assert answer.verdict is Verdict.NO
    assert answer.float_verdict is Verdict.SAFE
    begun_now = now + batch.fill.work + answer.tail
    assert answer.ready_at == step_up(begun_now, shop.step_minutes, shop.zone)
    sentence = late_sentence(answer, Formats.of(shop))
    assert f"ready at {answer.ready_at:%H:%M}, not at 10:00" in sentence


def test_work_that_does_not_fit_today_is_ready_tomorrow(shop, goods):
    answer = quote(
        wish(goods, line(goods, quantity=300), ready_by=at(17, 30), event_start=at(18), lasts_until=at(20)),
        shop,
        goods,
        at(17),
    )
    (batch,) = answer.batches
    left = batch.fill.work + answer.tail - timedelta(hours=1)
    # What is not done by 18:00 goes on when the door opens at 8:00.
    assert answer.ready_at == step_up(at(8, days=1) + left, shop.step_minutes, shop.zone)


def test_a_bench_in_time_says_nothing(shop, goods):
    answer = quote(wish(goods), shop, goods, at(9))
    assert answer.ready_at is None
    assert late_sentence(answer, Formats.of(shop)) == ""


def test_it_is_late_one_minute_after_the_first_fill_had_to_start(shop, goods):
    asked = wish(goods, line(goods, quantity=100))
    first = quote(asked, shop, goods, at(8)).first_fill_by
    assert quote(asked, shop, goods, first).ready_at is None
    late = quote(asked, shop, goods, first + timedelta(minutes=1))
    assert late.ready_at == asked.ready_by + timedelta(minutes=shop.step_minutes)


def test_it_says_what_the_wait_does(shop, goods):
    now = at(14, 40)
    late = quote(wish(goods, ready_by=at(14, 45)), shop, goods, now)
    sentence = late_sentence(late, Formats.of(shop), waited(late, shop, goods, now))
    assert "If they wait: They miss the first 15 min of the event." in sentence
    assert "still up at 17:00" in sentence


def test_it_says_when_the_wait_is_of_no_use(shop, goods):
    now = at(16, 45)
    late = quote(wish(goods, event_start=at(16, 50), ready_by=at(16, 46)), shop, goods, now)
    sentence = late_sentence(late, Formats.of(shop), waited(late, shop, goods, now))
    assert "after it ends at 17:00: the wait is of no use" in sentence
