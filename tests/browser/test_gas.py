"""Helium: a gauge read at the bench is litres in the office, and the quote says when it runs out."""

import re

import pytest
from playwright.sync_api import expect

from app.web.wording.forms import enter_pressure
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
    page.get_by_label("Capacity", exact=True).fill(holds)
    page.locator("#save").click()
    expect(page.locator(".gas-table")).to_contain_text(name)


def _read(page, bar, press, name="Ada"):
    form = page.locator(f".gas-press[data-cylinder='{name}']")
    form.locator("input[name=bar]").fill(bar)
    tap(form.locator(f"button[value='{press}']"))


def test_a_gauge_read_at_the_bench_is_litres_in_the_office_and_a_day_at_the_quote(tablet, watch):
    watch.expected = ("422",)
    page = tablet(**BIG)
    choose_staff_name(page)
    _add(page)
    page.goto("/bench")
    page.get_by_text("Days and lists").click()
    page.locator("a[href='/bench/gas']").first.click()
    _read(page, "10", "use")
    ada = page.locator("[data-name=Ada]")
    expect(ada).to_have_attribute("data-condition", "in use")
    _read(page, "120 psi", "read")
    expect(ada).to_have_attribute("data-bar", "8")
    page.locator("a[href='/office/gas']").first.click()
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
    expect(page.locator("#outlook")).not_to_have_attribute("data-short", "0")


def test_a_wrong_number_says_so_at_its_gauge_and_a_wrong_reading_is_undone(tablet, watch):
    watch.expected = ("422",)
    page = tablet(**BIG)
    _add(page)
    page.goto("/bench/gas")
    _read(page, "2200", "use")
    expect(page.get_by_role("alert")).to_contain_text(enter_pressure(350, "bar", maybe_psi="2200"))
    expect(page.get_by_label("Gauge of Ada")).to_have_value("2200")
    _read(page, "2200 psi", "use")
    _read(page, "15", "read")
    page.goto("/office/gas")
    page.get_by_role("link", name="Ada").click()
    page.locator(".history li").first.get_by_role("button", name="Undo").click()
    expect(page.locator(".history .undone")).to_have_attribute("data-bar", "15")
    page.goto("/bench/gas")
    expect(page.locator("[data-name=Ada]")).to_have_attribute("data-bar", "152")


def test_enter_only_saves_the_reading_and_a_gauge_that_rose_is_asked_about(tablet, watch):
    watch.expected = ("422",)
    page = tablet(**BIG)
    _add(page)
    page.goto("/bench/gas")
    for bar in ("36", "50"):
        page.get_by_label("Gauge of Ada").fill(bar)
        page.get_by_label("Gauge of Ada").press("Enter")
    expect(page.locator("#bar-1-problem")).to_contain_text("36 bar")
    tap(page.locator(".confirm-reading"))
    ada = page.locator("[data-name=Ada]")
    expect(ada).to_have_attribute("data-bar", "50")
    expect(ada).to_have_attribute("data-condition", "part used")
