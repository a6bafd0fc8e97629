"""The page that waits for long work: it goes on by itself, and Stop leads back to what was typed."""

import threading

import pytest
from playwright.sync_api import expect

from app.places.office import recalculated

pytestmark = pytest.mark.browser


@pytest.fixture
def gate(served, monkeypatch):
    """Already one open order is many; the work is at 412 of 1,000 until the gate is opened."""
    opened, prepare = threading.Event(), recalculated.prepare_open_orders

    def held(database, shop, catalogue, now, report):
        report(412, 1000)
        while not opened.wait(0.01):
            report(412, 1000)
        return prepare(database, shop, catalogue, now, report)

    monkeypatch.setattr(recalculated, "CALCULATED_AT_ONCE", 0)
    monkeypatch.setattr(recalculated, "prepare_open_orders", held)
    served.put_order()
    yield opened
    opened.set()


def _change(page):
    page.goto("/office/settings")
    page.fill("#name", "Pier Balloons")
    page.locator("#save-settings").click()
    expect(page.locator("#long-work")).to_have_attribute("data-done", "412")


def test_it_goes_on_by_itself_when_the_work_is_done(page, gate):
    _change(page)
    expect(page.locator("#long-work progress")).to_have_js_property("position", 0.412)
    stop = page.locator("#long-work [name=stop]")
    stop.focus()
    with page.expect_response("**/office/work/*"):
        pass
    expect(stop).to_be_focused()
    gate.set()
    expect(page.locator(".flash")).to_have_count(1)
    expect(page.locator("#name")).to_have_value("Pier Balloons")
    page.fill("#name", "The Tethered Lark")


def test_stop_leads_back_to_what_was_typed(page, gate):
    _change(page)
    page.locator("#long-work [name=stop]").click()
    expect(page.locator("[data-stopped]")).to_be_focused()
    expect(page.locator("#name")).to_have_value("Pier Balloons")


def test_it_works_without_a_script(chromium, served, gate):
    context = chromium.new_context(java_script_enabled=False, base_url=served.address())
    page = context.new_page()
    _change(page)
    page.locator("#long-work button:not([name])").click()
    expect(page.locator("#long-work")).to_have_attribute("data-work", "running")
    gate.set()
    while page.locator("#long-work").count():
        page.locator("#long-work button:not([name])").click()
    expect(page.locator(".flash")).to_have_count(1)
    context.close()
