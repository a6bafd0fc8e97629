"""One order from the telephone to the review, in a browser: by two addresses, and without JavaScript."""

import re

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import NAMED_HOST
from tests.browser.gestures import (
    Evening,
    burst,
    check_order,
    choose_staff_name,
    fill_order,
    open_ticket,
    progress,
    save_order,
    tap,
)

pytestmark = pytest.mark.browser

CHECKS = ("weighted", "bagged", "ready", "caution-given")


def _answer_the_phone(page, evening):
    """The caller hears whether they will still be up, then the number and the read-back."""
    fill_order(page, evening)
    check_order(page)
    expect(page.locator("[data-can-make]")).to_have_attribute("data-verdict", "safe")
    expect(page.locator("#answer .strip")).to_have_count(1)
    expect(page.locator("#answer")).to_contain_text(f"{evening.ends:%H:%M}.")
    number = save_order(page)
    read_back = page.locator("#read-back")
    for value in (str(number), "Odd Larsen", "5 × 11 in latex", "3 red, 2 white"):
        expect(read_back).to_contain_text(value)
    expect(read_back).to_contain_text(re.compile(rf"{evening.ready:%a} [^.]*{evening.ready:%H:%M}"))
    return number


def _fill_with_a_burst(page, number):
    page.goto("/bench")
    row = page.locator(f"#batch-{number}-1")
    expect(row).to_contain_text("5 × 11 in latex")
    expect(row.locator("[data-colour=red]")).to_contain_text("3")
    expect(row.locator("[data-colour=white]")).to_contain_text("2")
    row.get_by_role("link", name="Ticket").click()
    tap(page.locator("#tap-start"))
    expect(page.locator("#ticket")).to_have_attribute("data-state", "started")
    tap(burst(page, "white"))
    expect(page.locator("#ticket")).to_have_attribute("data-burst", "1")
    expect(page.locator("[data-to-replace]")).to_contain_text("1 white")
    tap(page.locator("#tap-finish"))
    expect(page.locator("#ticket")).to_have_attribute("data-filled", "5")


def _hand_over(page, number, evening):
    page.goto(f"/pickups/?day={evening.ready:%Y-%m-%d}")
    pickup = page.locator(f"#order-{number}")
    for check in CHECKS:
        tap(pickup.locator(f"#check-{number}-{check}"))
        ticked = pickup.locator(f"[data-of-step='{check.replace('-', ' ')}'][data-done=true]")
        expect(ticked).to_contain_text("Noor")
    button = pickup.locator(f"#step-{number}")
    tap(button)
    _pay_at_the_door(pickup, button)
    expect(pickup.locator("[data-of-step='handed over'][data-done=true]")).to_contain_text("Noor")
    expect(pickup).to_have_class(re.compile("pickup-gone"))


def _pay_at_the_door(pickup, button):
    """The last step asks about the money; one press saves it, and then nothing is asked."""
    expect(pickup.locator("[data-question=unpaid]")).to_contain_text("£5.50")
    tap(pickup.locator("#paid-card"))
    expect(pickup.locator("[data-money=paid]")).to_be_visible()
    tap(button)


def _review(page, number):
    page.goto("/office/review/orders")
    row = page.locator(f"tr[data-order='{number}']")
    expect(row).to_have_attribute("data-minutes-late", "0")
    cells = row.get_by_role("cell").all_inner_texts()
    assert (cells[0].strip(), cells[1].strip()) == (str(number), "Odd Larsen")
    assert cells[7:] == ["5", "1", "paid", "£5.50", "£5.50", "–", "–", "–"]


def _go_the_whole_way(page, watch):
    watch.expected = ("422",)  # the door asks about the money
    evening = Evening.of_today()
    choose_staff_name(page)
    number = _answer_the_phone(page, evening)
    _fill_with_a_burst(page, number)
    _hand_over(page, number, evening)
    _review(page, number)
    page.goto(f"/counter/orders/{number}")
    expect(page.locator(".history [data-act='handed over'][data-who=Noor]")).to_have_count(1)


A4_BETWEEN_MARGINS_PX = 703
"""186 mm at 96 to the inch: A4 upright with 12 mm at each side."""


def _print_review(page):
    """The whole table is on the paper: no cell is cut, none is beyond its edge, and each page has the headings."""
    page.goto("/office/review/orders")
    page.set_viewport_size({"width": A4_BETWEEN_MARGINS_PX, "height": 1000})
    page.emulate_media(media="print")
    cells = page.locator("main td, main th")
    rights = cells.evaluate_all("all => all.map(one => one.getBoundingClientRect().right)")
    assert len(rights) > 30
    assert max(rights) <= A4_BETWEEN_MARGINS_PX
    assert not cells.evaluate_all("all => all.filter(one => one.scrollWidth > one.clientWidth + 1).length")
    assert page.locator(".review thead").evaluate("one => getComputedStyle(one).display") == "table-header-group"


def test_a_phone_order_is_filled_handed_over_and_reviewed(tablet, watch):
    """Under the name of the shop's server, where a browser allows a page less than on the server itself."""
    page = tablet(host=NAMED_HOST)
    page.goto("/bench")
    assert not page.evaluate("isSecureContext")
    _go_the_whole_way(page, watch)
    _print_review(page)


def test_the_same_works_without_javascript(tablet, watch):
    _go_the_whole_way(tablet(java_script_enabled=False), watch)


def test_a_name_that_the_shop_was_not_told_is_refused(tablet, served, watch):
    watch.expected = ("400",)
    page = tablet()
    answer = page.request.get(served.address() + "/bench", headers={"Host": "elsewhere.test"})
    assert answer.status == 400


def test_a_reload_of_the_ticket_keeps_what_was_tapped(page, served):
    open_ticket(page, served.put_order())
    tap(page.locator("#tap-start"))
    tap(burst(page, "red"))
    expect(progress(page)).to_contain_text("1 burst")
    page.reload()
    expect(progress(page)).to_contain_text("1 burst")
    expect(page.locator("#tap-start")).to_have_count(0)
