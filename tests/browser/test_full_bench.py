"""An order with which the bench does not fit: another way is one press, or it is taken with a reason."""

import pytest
from playwright.sync_api import expect

from app.actions.records.catalogue import load_catalogue
from app.quoting.request import LineRequest
from tests.browser.gestures import Evening, check_order, fill_moment, fill_order, open_ticket, save_order

pytestmark = pytest.mark.browser


@pytest.fixture
def full_bench(served):
    """Two orders of sixty leave the one hand a few minutes until they are due."""
    with served.database.reading() as session:
        balloon_types = load_catalogue(session).balloon_types.values()
        latex = next(balloon_type.id for balloon_type in balloon_types if balloon_type.name == "11 in latex")
    for name in ("Runa Vik", "Tove Lind"):
        served.put_order(customer=name, lines=(LineRequest(latex, None, 60, "red"),))


def test_the_cause_the_first_way_and_save_are_in_sight_and_the_rest_is_folded(page, full_bench):
    """What is wrong besides takes none of the room of the ways to have it ready."""
    evening = Evening.of_today()
    fill_order(page, evening)
    check_order(page)
    expect(page.locator("[data-can-make]")).to_have_attribute("data-can-make", "cannot")
    for place in ("[data-role=verdict]", "[data-role=price]", "#answer-bench .changed", "#bench-later", "#take"):
        expect(page.locator(place).first).to_be_in_viewport(ratio=1)
    expect(page.locator("#bench_override")).to_be_hidden()
    fill_moment(page, "lasts_until", evening.at(40))
    check_order(page)
    expect(page.locator("[data-can-make]")).to_have_attribute("data-verdict", "wont-last")
    expect(page.locator("#answer-bench .changed")).to_be_in_viewport(ratio=1)
    expect(page.locator("#cause-float .alternative").first).to_be_hidden()
    expect(page.locator("#accepted_risk")).to_be_hidden()
    assert page.locator(".answer-body").evaluate("body => body.scrollHeight <= 1.5 * body.clientHeight")


def test_a_later_hour_is_one_press_and_the_agreed_one_wants_a_reason_that_is_kept(page, full_bench, watch):
    watch.expected = ("422",)
    answer, reason = page.locator("[data-can-make]"), "Isolde stays an hour longer."
    fill_order(page, Evening.of_today())
    expect(answer).to_have_attribute("data-can-make", "cannot")
    page.locator("#bench-later").click()
    expect(answer).to_have_attribute("data-can-make", "fits")
    page.locator("#undo").click()
    expect(answer).to_have_attribute("data-can-make", "cannot")
    page.locator("#take").click()
    expect(page.locator("#bench_override-problem")).to_be_visible()
    expect(page.locator("#customer")).to_have_value("Odd Larsen")
    page.fill("#bench_override", reason)
    number = save_order(page)
    expect(page.locator("main")).to_contain_text(reason)
    open_ticket(page, number)
    expect(page.locator("#ticket")).to_contain_text(reason)
