"""Helium: a gauge read at the bench is litres in the office, and the quote says when it runs out."""

import re

import pytest
from playwright.sync_api import expect

from tests.browser.gestures import (
    Evening,
    check_order,
    choose_staff_name,
    fill_line,
    fill_order,
    tap,
    wait_for_answers,
)

pytestmark = pytest.mark.browser

BIG = {"width": 820, "height": 1180}


def _add(page, name="Ada", holds="50"):
    page.goto("/office/gas/new")
    page.get_by_label("Name", exact=True).fill(name)
    page.get_by_label("Holds", exact=True).fill(holds)
    page.get_by_role("button", name="Keep it").click()
    expect(page.locator(".gas-table")).to_contain_text(name)


def _read(page, bar, press, name="Ada"):
    page.get_by_label(f"Gauge of {name}").fill(bar)
    tap(page.get_by_role("button", name=press))


def test_a_gauge_read_at_the_bench_is_litres_in_the_office_and_a_day_at_the_quote(tablet, watch):
    watch.expected = ("422",)
    page = tablet(**BIG)
    choose_staff_name(page)
    _add(page)
    page.goto("/bench")
    page.get_by_role("link", name="Gauges").click()
    _read(page, "10", "Take into use")
    expect(page.locator("main")).to_contain_text("Ada, in use")
    _read(page, "120 psi", "Note it")
    expect(page.locator("main")).to_contain_text("8 bar (120 psi)")
    page.get_by_role("link", name="Gas in the office").click()
    left = page.locator(".gas-table tbody tr").first.locator(".number").first
    expect(left).to_have_text(re.compile(r"^30\d L$"))

    fill_order(page, Evening.of_today())
    check_order(page)
    expect(page.locator("#fine")).to_contain_text("helium")
    fill_line(page, 0, quantity="40", colours="40 red")
    wait_for_answers(page)
    check_order(page)
    expect(page.locator("[data-topic=gas]")).to_have_attribute("data-short", re.compile(r"\d L helium"))
    page.locator("#take").click()
    expect(page.locator("#stock_override-problem")).to_be_visible()
    page.fill("#stock_override", "A cylinder comes at ten.")
    page.locator("#take").click()
    expect(page).to_have_url(re.compile(r"/counter/orders/\d+$"))
    page.goto("/office/gas")
    expect(page.locator("main")).to_contain_text("The helium runs out on")


def test_a_wrong_number_says_so_at_its_gauge_and_a_slip_is_undone(tablet, watch):
    watch.expected = ("422",)
    page = tablet(**BIG)
    _add(page)
    page.goto("/bench/gas")
    _read(page, "2200", "Take into use")
    expect(page.get_by_role("alert")).to_contain_text("out of range")
    expect(page.get_by_label("Gauge of Ada")).to_have_value("2200")
    _read(page, "2200 psi", "Take into use")
    _read(page, "15", "Note it")
    page.goto("/office/gas")
    page.get_by_role("link", name="Ada").click()
    page.locator(".history li").first.get_by_role("button", name="Undo").click()
    expect(page.locator(".history .undone")).to_contain_text("15 bar")
    page.goto("/bench/gas")
    expect(page.locator("main")).to_contain_text("152 bar (2,200 psi)")


def test_enter_only_notes_and_a_gauge_that_rose_is_asked_about(tablet, watch):
    watch.expected = ("422",)
    page = tablet(**BIG)
    _add(page)
    page.goto("/bench/gas")
    for bar in ("36", "50"):
        page.get_by_label("Gauge of Ada").fill(bar)
        page.get_by_label("Gauge of Ada").press("Enter")
    expect(page.locator("#bar-1-problem")).to_have_text("It said 36 bar before: is 50 right?")
    tap(page.get_by_role("button", name="Yes, it is"))
    expect(page.locator("main")).to_contain_text("50 bar (725 psi)")
    expect(page.locator("main")).to_contain_text("Ada, stands by, begun")
