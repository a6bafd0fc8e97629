"""Goods arrive, are promised, filled and undone; what is short is ordered and comes; the items to fetch print."""

import re
from datetime import timedelta

import pytest
from playwright.sync_api import expect

from app.quoting.request import LineRequest
from app.quoting.states import TapAction
from tests.browser.conftest import NAMED_HOST
from tests.browser.gestures import Evening, at_every_size, open_ticket, tap
from tests.browser.test_pages import refuse_sideways, refuse_sideways_at_every_size, small_targets

pytestmark = pytest.mark.browser

WHY = "They are bought."
LATEX = 4


def _receive(page, count, colour="red"):
    page.goto(f"/office/stock/balloon-type/{LATEX}#receive")
    page.get_by_label("Colour", exact=True).fill(colour)
    page.get_by_label("How many").fill(str(count))
    page.get_by_role("button", name="Add lot").click()
    expect(page.get_by_role("status").first).to_contain_text(f"{count} {colour} 11 in latex")


def _red(page):
    """On hand, promised, on its way and free, as the stock's page says them."""
    page.goto("/office/stock")
    row = page.locator(f"#of-{LATEX}-0 tr", has_text="red").locator("td")
    return [row.nth(place).inner_text() for place in range(4)]


def _in_days(days):
    later = Evening.of_today().at(24 * days)
    return {"ready_by": later, "event_start": later + timedelta(hours=1), "lasts_until": later + timedelta(hours=2)}


def test_what_comes_in_is_promised_filled_and_back_when_that_is_undone(page, served):
    _receive(page, 40)
    assert _red(page) == ["40", "0", "–", "40"]
    number = served.put_order(lines=(LineRequest(LATEX, None, 12, "red"),))
    assert _red(page) == ["40", "12", "–", "28"]
    served.tap(number, TapAction.START)
    open_ticket(page, number)
    tap(page.get_by_role("button", name="All 12 filled"))
    expect(page.get_by_role("button", name="All 12 filled")).to_have_count(0)
    assert _red(page) == ["28", "0", "–", "28"]
    open_ticket(page, number)
    tap(page.get_by_role("button", name="Undo").first)
    expect(page.get_by_role("button", name="All 12 filled")).to_be_visible()
    assert _red(page) == ["40", "12", "–", "28"]


def test_what_the_buying_list_asks_for_is_ordered_and_comes(page, served):
    _receive(page, 5)
    later = Evening.of_today().now + timedelta(days=6)
    moments = {
        "ready_by": later,
        "event_start": later + timedelta(hours=1),
        "lasts_until": later + timedelta(hours=2),
    }
    served.put_order(lines=(LineRequest(LATEX, None, 20, "red"),), stock_override=WHY, **moments)
    page.goto("/office/stock/buying")
    row = page.locator("#buy-0")
    expect(row).to_have_attribute("data-short", re.compile(r"^15(\.0)?$"))
    packs = int(row.get_by_label("Packs").input_value())
    row.get_by_role("button", name="Mark as ordered").click()
    expect(page.locator(".coming")).to_contain_text("red 11 in latex")
    expect(page.locator(".buy")).to_have_count(0)
    came = page.locator(".coming").get_by_label("Received")
    pieces = int(came.input_value())
    assert pieces >= packs >= 1
    came.fill(str(pieces + 2))
    page.get_by_role("button", name="Save delivery").click()
    expect(page.locator(".coming")).to_have_count(0)
    assert _red(page) == [str(5 + pieces + 2), "20", "–", str(5 + pieces + 2 - 20)]


def test_a_lot_is_counted_with_a_reason_put_away_and_put_back(page, watch):
    watch.expected = ("422",)
    _receive(page, 40)
    lot = page.locator(".lot")
    lot.get_by_text("Count or put away").click()
    lot.get_by_label("Counted").fill("33")
    lot.get_by_role("button", name="Save count").click()
    expect(page.locator("[id^=why-][id$=-problem]")).to_have_count(1)
    assert lot.get_by_label("Counted").input_value() == "33"
    lot.get_by_label("Reason", exact=True).fill("a torn bag")
    lot.get_by_role("button", name="Save count").click()
    expect(lot).to_have_attribute("data-on-hand", "33.0")
    lot.get_by_text("Count or put away").click()
    lot.get_by_role("button", name="Put away").click()
    expect(lot).to_have_attribute("data-state", "away")
    assert _red(page) == ["0", "0", "–", "0"]
    page.goto(f"/office/stock/balloon-type/{LATEX}")
    lot.get_by_role("button", name="Put back in stock").click()
    expect(page.locator(".history [data-sort=counted]")).to_contain_text("a torn bag")
    assert _red(page) == ["33", "0", "–", "33"]


def test_the_stock_pages_have_room_and_the_items_to_fetch_print_on_one_page(tablet, served):
    page = tablet(host=NAMED_HOST)
    _receive(page, 5)
    lines = (LineRequest(LATEX, None, 12, "red"), LineRequest(LATEX, None, 8, ""))
    number = served.put_order(lines=lines, stock_override=WHY)
    served.put_order(lines=lines, stock_override=WHY, **_in_days(6))
    for address in (f"/office/stock/balloon-type/{LATEX}", "/office/stock", "/office/stock/buying"):
        page.goto(address)
        for fold in page.locator("main summary").all():
            fold.click()
        for _ in at_every_size(page):
            _has_room(page)
    page.get_by_role("button", name="Mark all as ordered").click()
    expect(page.locator(".coming")).to_have_count(2)
    refuse_sideways_at_every_size(page)
    _look_at_the_fetch_list(page, number)


def _has_room(page):
    refuse_sideways(page)
    assert page.evaluate("[...document.querySelectorAll('.scroll')].every(e => e.scrollWidth <= e.clientWidth)")
    assert small_targets(page, "main button:not(.first-button), main .button, main summary, .order-link") == []


def _look_at_the_fetch_list(page, number):
    page.goto("/bench")
    page.get_by_text("Days and lists").click()
    page.locator("main a[href*='/bench/fetch']").first.click()
    row = page.locator(".fetch-list tr", has_text="red").first
    expect(row).to_contain_text("7 short")
    expect(row).to_contain_text(str(number))
    refuse_sideways_at_every_size(page)
    page.emulate_media(media="print")
    refuse_sideways_at_every_size(page)
    expect(page.locator(".top")).to_be_hidden()
    assert len(re.findall(rb"/Type /Page\b", page.pdf(format="A4"))) == 1
