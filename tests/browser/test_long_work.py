"""The page that waits for long work: it goes on by itself, and Stop leads back to what was typed."""

import threading

import pytest
from playwright.sync_api import expect
from werkzeug.serving import WSGIRequestHandler, make_server

from app.actions.shop.office import change_settings, change_week
from app.places.office import recalculated
from tests.browser.conftest import ROUND_THE_CLOCK, ZONE, Served

pytestmark = pytest.mark.browser


@pytest.fixture
def held(monkeypatch):
    """Already one open order is many; the work is at 412 of 1,000 until it may go on."""
    opened, prepare = threading.Event(), recalculated.prepare_open_orders

    def hold(database, shop, catalogue, now, report):
        report(412, 1000)
        while not opened.wait(0.01):
            report(412, 1000)
        return prepare(database, shop, catalogue, now, report)

    monkeypatch.setattr(recalculated, "CALCULATED_AT_ONCE", 0)
    monkeypatch.setattr(recalculated, "prepare_open_orders", hold)
    yield opened
    opened.set()


@pytest.fixture
def address(held, build_app, database):
    """A shop with one open order, served by this very process, so that its work can be held."""
    with database.writing() as session:
        change_settings(session, {"zone": ZONE})
        change_week(session, dict.fromkeys(range(7), ROUND_THE_CLOCK))
    app = build_app(database.engine.url.render_as_string())
    server = make_server("127.0.0.1", 0, app, threaded=True, request_handler=Quiet)
    Served(server.port, database).put_order()
    serving = threading.Thread(target=server.serve_forever)
    serving.start()
    yield f"http://127.0.0.1:{server.port}"
    held.set()
    app.long_works.stop_all(20)
    server.shutdown()
    serving.join()
    server.server_close()


class Quiet(WSGIRequestHandler):
    def log(self, *_):
        """Says nothing."""


@pytest.fixture(params=[True, False], ids=["htmx", "no script"])
def page(request, chromium, address):
    context = chromium.new_context(java_script_enabled=request.param, base_url=address)
    yield context.new_page()
    context.close()


only_htmx = pytest.mark.parametrize("page", [True], indirect=True)
no_script = pytest.mark.parametrize("page", [False], indirect=True)


def _change(page):
    page.goto("/office/settings/shop")
    page.fill("#name", "Pier Balloons")
    page.locator("#save-settings").click()
    expect(page.locator("#long-work")).to_have_attribute("data-done", "412")


@only_htmx
def test_it_goes_on_by_itself_when_the_work_is_done(page, held):
    _change(page)
    expect(page.locator("#long-work progress")).to_have_js_property("value", 412)
    stop = page.locator("#long-work [name=stop]")
    stop.focus()
    with page.expect_response("**/office/long-work/*"):
        pass
    expect(stop).to_be_focused()
    held.set()
    expect(page.locator(".flash")).to_have_count(1)
    expect(page.locator("#name")).to_have_value("Pier Balloons")


def test_stop_leads_back_to_what_was_typed(page):
    _change(page)
    page.locator("#long-work [name=stop]").click()
    expect(page.locator("[data-stopped]")).to_have_count(1)
    expect(page.locator("#name")).to_have_value("Pier Balloons")


@only_htmx
def test_a_page_that_is_loaded_again_shows_the_same_work(page, held):
    _change(page)
    key = page.locator("#long-work").get_attribute("data-key")
    page.reload()
    expect(page.locator("#long-work")).to_have_attribute("data-key", key)
    held.set()
    expect(page.locator(".flash")).to_have_count(1)


@only_htmx
def test_it_fits_every_width(page):
    _change(page)
    for width, height in ((1280, 800), (820, 1180), (390, 844)):
        page.set_viewport_size({"width": width, "height": height})
        expect(page.locator("#long-work [name=stop]")).to_be_in_viewport(ratio=1)
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")


@no_script
def test_without_a_script_a_press_refreshes(page, held):
    _change(page)
    refresh = page.locator("#long-work button:not([name])")
    refresh.click()
    expect(page.locator("#long-work")).to_have_attribute("data-done", "412")
    held.set()
    while page.locator("#long-work").count():
        refresh.click()
    expect(page.locator(".flash")).to_have_count(1)
