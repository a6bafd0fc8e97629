"""An order with which the bench does not fit: another way is one press, or it is taken with a reason."""

import pytest
from playwright.sync_api import expect

from app.actions.records.shop import load_goods
from app.quoting.request import LineWish
from tests.browser.gestures import Evening, fill_order, open_ticket, take_it

pytestmark = pytest.mark.browser


@pytest.fixture
def full_bench(served):
    """Two orders of sixty leave the one hand a few minutes until they are due."""
    with served.database.reading() as session:
        kinds = load_goods(session).kinds.values()
        latex = next(kind.id for kind in kinds if kind.name == "11 in latex")
    for name in ("Runa Vik", "Tove Lind"):
        served.put_order(customer=name, lines=(LineWish(latex, None, 60, "red"),))


def test_a_later_hour_is_one_press_and_the_agreed_one_wants_a_reason_that_is_kept(page, full_bench, watch):
    watch.expected = ("422",)
    answer, reason = page.locator("#answer"), "Isolde stays an hour longer."
    fill_order(page, Evening.of_today())
    expect(answer).to_contain_text("The bench cannot make it beside the other orders")
    page.locator("#bench-later").click()
    expect(answer).to_contain_text("The bench can make it beside all other orders.")
    page.get_by_role("button", name="Take the last remedy back").click()
    expect(answer).to_contain_text("The bench cannot make it beside the other orders")
    page.get_by_role("button", name="Take the order").click()
    expect(page.locator("#bench_reason-problem")).to_be_visible()
    expect(page.locator("#customer")).to_have_value("Odd Larsen")
    page.fill("#bench_reason", reason)
    number = take_it(page)
    expect(page.locator("main")).to_contain_text(f"Taken all the same, because {reason}")
    open_ticket(page, number)
    expect(page.locator("#ticket")).to_contain_text(reason)
