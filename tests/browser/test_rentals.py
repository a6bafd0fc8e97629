"""A rented pole goes out with an order, is fetched at the take-down, and a wrong tap is undone."""

import re

import pytest
from playwright.sync_api import expect

from app.quoting.states import TapAction
from tests.actions.rental_helpers import pole, rental
from tests.browser.gestures import Evening, tap

pytestmark = pytest.mark.browser

CHECKS = ("weighted", "bagged", "ready", "caution-given")


@pytest.fixture
def board(page, served, watch):
    """The pick-ups of the evening on which an order with two poles is taken down, and its number. It is filled."""
    watch.expected = ("422",)  # the door asks about the money
    evening = Evening.of_today()
    with served.database.writing() as session:
        extras = (rental(pole(session), 2),)
    number = served.put_order(extras=extras, take_down_at=evening.at(7), address="4 Mill Lane")
    served.tap(number, TapAction.FINISH)
    page.goto(f"/pickups/?day={evening.ready:%Y-%m-%d}")
    for check in CHECKS:
        tap(page.locator(f"#check-{number}-{check}"))
        expect(page.locator(f"[data-of-step='{check.replace('-', ' ')}'][data-done=true]")).to_be_visible()
    tap(page.locator(f"#step-{number}"))
    tap(page.locator("#anyway"))
    expect(page.locator(f"#order-{number}")).to_have_class(re.compile("pickup-gone"))
    page.goto(f"/pickups/?day={evening.at(7):%Y-%m-%d}")
    return page, number


def test_a_pole_goes_out_is_fetched_at_the_take_down_and_a_wrong_tap_is_undone(board):
    page, number = board
    rentals, main = page.locator(f"#rental-{number}"), page.locator(f"#rentals-{number}")
    expect(rentals).to_contain_text("2 × Pole")
    expect(main).to_have_attribute("data-act", "cut")
    tap(main)
    expect(main).to_have_attribute("data-act", "all back")
    tap(main)
    expect(rentals).to_contain_text("2/2")
    expect(main).to_have_count(0)
    tap(page.locator(f"#undo-rentals-{number}"))
    expect(main).to_have_attribute("data-act", "all back")
    page.reload()
    expect(main).to_have_attribute("data-act", "all back")


def test_one_that_is_lost_is_counted_on_its_page(board, watch):
    watch.expected = ("422",)
    page, number = board
    page.locator(f"#rental-{number} a[href$='/back']").click()
    page.get_by_label("Back", exact=True).fill("2")
    page.get_by_label("Lost or broken").fill("1")
    page.locator("#save").click()
    expect(page.get_by_role("alert")).to_contain_text("2 × Pole")
    page.get_by_label("Back", exact=True).fill("1")
    page.get_by_label("Security deposit to keep").fill("20")
    page.locator("#save").click()
    saved = page.locator(".sales [data-good=Pole]")
    expect(saved).to_have_attribute("data-returned", "1")
    expect(saved).to_have_attribute("data-lost", "1")
    expect(saved).to_have_attribute("data-deposit-kept", "2000")
    page.get_by_role("link", name=f"Order {number}").click()
    expect(page.locator("#rental")).to_contain_text("1 back, 1 lost")
