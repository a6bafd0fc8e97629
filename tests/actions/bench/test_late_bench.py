"""A quote tells when the bench would be ready, if it cannot be in time."""

from datetime import timedelta

from app.planning.shoptime import step_up
from app.planning.window import Verdict
from app.quoting.quote import make_quote, quote_if_waiting
from app.web.formats import Formats
from app.web.wording.answer import late_sentence
from tests.actions.builders import at, line, order_request
from tests.numbers_in import numbers_in


def test_it_says_the_hour_at_which_the_order_would_be_ready(shop, catalogue):
    now = at(9)
    quote = make_quote(
        order_request(catalogue, line(catalogue, quantity=100), ready_by=at(10)), shop, catalogue, now
    )
    (batch,) = quote.batches
    assert quote.late_run is quote.runs[0]
    assert quote.float_verdict is Verdict.SAFE
    begun_now = now + batch.fill.work + quote.finishing
    assert quote.ready_at == step_up(begun_now, shop.step_minutes, shop.zone)
    sentence = late_sentence(quote, Formats.of(shop), now)
    assert numbers_in(sentence) == [quote.ready_at.hour, quote.ready_at.minute]


def test_work_that_does_not_fit_today_is_ready_tomorrow(shop, catalogue):
    quote = make_quote(
        order_request(
            catalogue, line(catalogue, quantity=300), ready_by=at(17, 30), event_start=at(18), lasts_until=at(20)
        ),
        shop,
        catalogue,
        at(17),
    )
    (batch,) = quote.batches
    left = batch.fill.work + quote.finishing - timedelta(hours=1)
    # What is not done by 18:00 goes on when the door opens at 8:00.
    assert quote.ready_at == step_up(at(8, days=1) + left, shop.step_minutes, shop.zone)


def test_a_bench_in_time_says_nothing(shop, catalogue):
    quote = make_quote(order_request(catalogue), shop, catalogue, at(9))
    assert quote.ready_at is None
    assert late_sentence(quote, Formats.of(shop), at(9)) == ""


def test_it_is_late_one_minute_after_the_first_fill_had_to_start(shop, catalogue):
    asked = order_request(catalogue, line(catalogue, quantity=100))
    first = make_quote(asked, shop, catalogue, at(8)).first_fill_by
    assert make_quote(asked, shop, catalogue, first).ready_at is None
    late = make_quote(asked, shop, catalogue, first + timedelta(minutes=1))
    assert late.ready_at == asked.ready_by + timedelta(minutes=shop.step_minutes)


def test_it_says_what_the_wait_does(shop, catalogue):
    now = at(14, 40)
    late = make_quote(order_request(catalogue, ready_by=at(14, 45)), shop, catalogue, now)
    waits = quote_if_waiting(late, shop, catalogue, now)
    sentence = late_sentence(late, Formats.of(shop), now, waits)
    ready, missed, promised, until = (15, 15), (15,), (22, 24), (17, 0)
    assert numbers_in(sentence) == [*ready, *missed, *promised, *until]


def test_it_says_when_the_wait_is_of_no_use(shop, catalogue):
    now = at(16, 45)
    late = make_quote(order_request(catalogue, event_start=at(16, 50), ready_by=at(16, 46)), shop, catalogue, now)
    sentence = late_sentence(late, Formats.of(shop), now, quote_if_waiting(late, shop, catalogue, now))
    assert numbers_in(sentence) == [late.ready_at.hour, late.ready_at.minute, 17, 0]  # no chance is told
