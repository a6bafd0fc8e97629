"""A quick sale in three presses: by hand, by keys, in haste, and without JavaScript."""

import re

import pytest
from playwright.sync_api import expect
from sqlalchemy import select

from app.store.models import Order
from tests.browser.gestures import choose_staff_name, tap

pytestmark = pytest.mark.browser


def _sales(served):
    """(state, lines, total) of every order, the first first."""
    with served.database.reading() as session:
        orders = session.scalars(select(Order).order_by(Order.number)).all()
        return [(order.state, order.lines[0].quantity, order.lines[0].title) for order in orders]


def _choose(page, what="11 in latex", many=3):
    page.get_by_role("link", name=re.compile(f"^{what}")).first.click()
    page.locator(f"#many-{many}").click()
    expect(page.locator("#sell")).to_be_visible()


@pytest.fixture
def counter(page):
    """The page of a sale, opened from the counter."""
    page.goto("/counter/")
    page.locator("main a[href='/counter/quick-sale']").click()
    expect(page.locator("#sale")).to_be_visible()
    return page


def test_three_presses_sell_and_the_page_is_ready_for_the_next(counter, served):
    _choose(counter)
    expect(counter.locator(".sale-total")).to_have_attribute("data-total", "330")
    tap(counter.locator("#sell"))
    expect(counter.locator(".sold[data-undone=no]")).to_contain_text("3 × 11 in latex, £3.30")
    expect(counter.locator("#sell")).to_have_count(0)
    assert _sales(served) == [("handed over", 3, "11 in latex")]
    _choose(counter, "18 in foil", 1)
    tap(counter.locator("#sell"))
    expect(counter.locator(".sales li")).to_have_count(2)


def test_the_keyboard_alone_sells(page, served):
    page.goto("/counter/")
    page.keyboard.press("Alt+s")
    expect(page).to_have_url(re.compile("/counter/quick-sale$"))
    page.locator("#what-sold-4").focus()
    page.keyboard.press("Enter")
    expect(page.locator("#quantity")).to_be_visible()
    page.keyboard.press("Alt+n")
    page.keyboard.type("7")
    page.keyboard.press("Enter")
    expect(page.locator("#sell")).to_be_visible()
    page.keyboard.press("Control+Enter")
    expect(page.locator(".sold")).to_contain_text("7 × 11 in latex")
    assert _sales(served) == [("handed over", 7, "11 in latex")]


def test_a_number_that_was_only_typed_is_set_by_the_key_that_saves(page, watch, served):
    watch.expected = ("422",)
    page.goto("/counter/quick-sale?what=sold-4")
    page.keyboard.press("Alt+n")
    page.keyboard.type("abc")
    page.keyboard.press("Control+Enter")
    expect(page.locator("#quantity")).to_have_attribute("aria-invalid", "true")
    page.locator("#quantity").fill("3")
    page.keyboard.press("Control+Enter")
    expect(page.locator("#sell")).to_be_visible()
    assert _sales(served) == []
    page.keyboard.press("Control+Enter")
    expect(page.locator(".sold")).to_be_visible()
    assert _sales(served) == [("handed over", 3, "11 in latex")]


def test_a_double_click_sells_once(counter, served):
    _choose(counter)
    counter.locator("#sell").dblclick()
    expect(counter.locator(".sold[data-undone=no]")).to_contain_text("3 ×")
    counter.wait_for_load_state("networkidle")
    assert _sales(served) == [("handed over", 3, "11 in latex")]


def test_a_press_whose_answer_was_lost_sells_once_when_pressed_again(counter, served, watch):
    watch.expected = ("ERR_FAILED", "Failed to fetch")

    def lose_the_answer(route):
        route.fetch()
        route.abort()

    _choose(counter)
    counter.route("**/counter/quick-sale", lose_the_answer, times=1)
    tap(counter.locator("#sell"))
    expect(counter.locator("#connection")).to_have_attribute("data-connection", "lost")
    tap(counter.locator("#sell"))
    expect(counter.locator(".sold[data-undone=no]")).to_contain_text("3 ×")
    assert len(_sales(served)) == 1


def test_back_and_reload_sell_nothing(counter, served):
    _choose(counter)
    counter.locator("#sell").click()
    expect(counter.locator(".sold")).to_be_visible()
    counter.reload()
    expect(counter.locator(".sold[data-undone=no]")).to_contain_text("3 ×")
    counter.go_back()
    _says_it_was_sold(counter)
    counter.reload()
    _says_it_was_sold(counter)
    counter.keyboard.press("Control+Enter")
    counter.wait_for_load_state("networkidle")
    assert len(_sales(served)) == 1


def test_back_sells_nothing_twice_without_javascript(tablet, served):
    page = tablet(java_script_enabled=False)
    page.goto("/counter/quick-sale")
    _choose(page)
    page.locator("#sell").click()
    expect(page.locator(".sold")).to_be_visible()
    page.go_back()
    _says_it_was_sold(page)
    assert len(_sales(served)) == 1


def _says_it_was_sold(page):
    expect(page.locator("#already-sold")).to_contain_text("3 × 11 in latex")
    expect(page.locator("#sell")).to_have_count(0)


def test_a_mistaken_sale_is_undone(counter, served):
    choose_staff_name(counter)
    counter.goto("/counter/quick-sale")
    _choose(counter)
    tap(counter.locator("#sell"))
    tap(counter.locator("#back-now"))
    expect(counter.locator(".sold[data-undone=yes]")).to_contain_text("3 × 11 in latex")
    expect(counter.locator(".sales li.undone")).to_have_count(1)
    expect(counter.locator(".sales li")).to_contain_text("Noor")
    assert _sales(served) == [("cancelled", 3, "11 in latex")]


def test_a_number_that_cannot_be_gets_a_sentence_and_stays_typed(counter, watch):
    watch.expected = ("422",)
    counter.locator("#what-sold-4").click()
    counter.locator("#quantity").fill("many")
    counter.keyboard.press("Enter")
    expect(counter.locator("#quantity-problem")).to_be_visible()
    expect(counter.locator("#quantity")).to_have_value("many")


def test_it_sells_once_without_javascript_and_undoes_it(tablet, served):
    page = tablet(java_script_enabled=False)
    page.goto("/counter/quick-sale")
    _choose(page, "12 in latex", 8)
    page.locator("#sell").dblclick()
    expect(page.locator(".sold[data-undone=no]")).to_contain_text("8 × 12 in latex")
    assert _sales(served) == [("handed over", 8, "12 in latex")]
    page.locator("#back-now").click()
    expect(page.locator(".sold[data-undone=yes]")).to_contain_text("8 × 12 in latex")
    assert _sales(served) == [("cancelled", 8, "12 in latex")]


def test_on_a_telephone_the_third_press_needs_no_scrolling(tablet, served):
    page = tablet(width=390, height=844)
    page.goto("/counter/quick-sale")
    _choose(page, "9 in latex", 2)
    expect(page.locator("#sell")).to_be_in_viewport(ratio=1)
    page.locator("#sell").click()
    expect(page.locator(".sold")).to_be_in_viewport(ratio=1)
    assert _sales(served) == [("handed over", 2, "9 in latex")]
