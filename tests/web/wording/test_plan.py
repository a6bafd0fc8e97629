"""What pages say of the plan: when a batch is filled, which order is late and why, what changed."""

from dataclasses import replace

import pytest

from app.actions.records.shop import load_shop
from app.store.queries.plan import PlanChange, SavedBlock, SavedDelay, SavedPlan, SavedWork
from app.web.formats import Formats
from app.web.wording.plan import PlanWords, delay_reason, delay_sentence, news_sentence
from tests.actions.builders import MORNING, at

DAY = at(8).date()
DELAY = SavedDelay(
    order="1005",
    ready_by=at(12),
    ready_at=at(12, 30),
    work=(SavedWork("1005", 2400, 600), SavedWork("1001", 1800, 0), SavedWork("1001 later", 600, 900)),
    short_seconds=1500,
    start=at(9),
    end=at(12),
    gas=None,
    proved=True,
)


@pytest.fixture
def formats(session):
    return Formats.of(load_shop(session))


def test_the_times_of_a_batch_name_the_people_where_there_are_several(formats):
    blocks = (SavedBlock("1-1", None, at(8, 10), at(8, 40), 2), SavedBlock("1-1", None, at(9), at(9, 20), 1))
    words = PlanWords.of(SavedPlan(1, MORNING, blocks, {}, (), ()), formats, DAY)
    one, two, three, four = (formats.clock(moment) for moment in (at(8, 10), at(8, 40), at(9), at(9, 20)))
    assert words.of_batch("1-1", "1").times(formats) == f"{one} to {two} with 2 people, {three} to {four}"
    assert words.of_batch("2-1", "2").times(formats) == ""


def test_a_late_order_says_when_it_is_ready(formats):
    by, about = formats.clock(at(12)), formats.clock(at(12, 30))
    assert delay_sentence(DELAY, formats, DAY) == f"can't be ready by {by}, only at about {about}"
    doubtful = replace(DELAY, proved=False)
    assert delay_sentence(doubtful, formats, DAY) == f"may not be ready by {by}, only at about {about}"
    never = replace(DELAY, ready_at=None)
    assert delay_sentence(never, formats, DAY) == f"can't be ready by {by}, nor on the next days"


def test_its_reason_names_the_orders_that_compete_with_their_filling_and_finishing(formats):
    reason = delay_reason(DELAY, formats)
    assert reason.startswith("25 min more work than staff can do between")
    assert reason.endswith(
        " These hours are needed for order 1005 (40 min of filling and 10 min of finishing)"
        " and order 1001 (40 min of filling and 15 min of finishing)."
    )
    many = replace(DELAY, work=tuple(SavedWork(f"{number}", 60, 120) for number in range(1001, 1010)))
    assert delay_reason(many, formats).endswith(" and 3 more orders (3 min of filling and 6 min of finishing).")


def test_an_order_whose_time_has_passed_says_what_is_left_to_do(formats):
    passed = replace(DELAY, end=at(9))
    begins = "The time to be ready has passed, and there is still"
    assert delay_reason(passed, formats) == f"{begins} 40 min of filling and 10 min of finishing to do."
    assert delay_reason(replace(passed, work=()), formats) == f"{begins} 25 min of work to do."


def _news(formats, **changes):
    news = PlanChange(at=MORNING, order="1005", batch="", was=at(12), now=at(12, 30))
    return news_sentence(replace(news, **changes), formats, DAY)


def test_news_say_the_time_and_what_it_replaces(formats):
    was, now = formats.clock(at(12)), formats.clock(at(12, 30))
    assert _news(formats) == f"Order 1005: ready at about {now} instead of {was}."
    assert _news(formats, was=None) == f"Order 1005: ready at about {now}."
    assert _news(formats, now=None) == "Order 1005: can't be ready on the next days."
    assert _news(formats, batch="1005-1") == f"1005-1: start by {now} instead of {was}."
