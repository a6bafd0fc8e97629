"""Nothing is found on any page, by axe-core and by what it does not look for: dark, narrow, in forced colours."""

import hashlib

import pytest
from playwright.sync_api import expect

from tests.browser.findings import AXE, CONTRAST, axe_findings, own_findings, sideways
from tests.browser.gestures import Evening, check_order, fill_order, wait_for_answers
from tests.browser.test_pages import PAGES, _lived_in

pytestmark = pytest.mark.browser

AXE_SHA256 = "29348999450cdf2849a8e70b7912fc2da85a849da39c0d0d5394f51d4a9ed95c"
SHARES = 4
NARROW, ZOOMED = 320, 640
"""A small telephone, and 1280 px at 200 %."""
EMPTY = (
    *("/counter/", "/bench", "/pickups/", "/office/review", "/office/stock", "/office/gas", "/office/stock/buying"),
    *("/bench/fetch-list", "/counter/orders", "/office/rentals", "/office/designs"),
)
IN_EVERY_STATE = (
    *("/counter/", "/counter/quick-sale", "/counter/orders/{number}", "/bench", "/bench/batches/{number}-1"),
    *("/pickups/?day={day}", "/office/hours", "/office/stock/balloon-type/4", "/office/settings", "/staff/"),
)


def _everything(page):
    return [*axe_findings(page), *own_findings(page)]


def test_axe_is_the_file_that_was_vendored():
    assert hashlib.sha256(AXE.encode()).hexdigest() == AXE_SHA256


@pytest.mark.parametrize("share", range(SHARES))
def test_nothing_is_found_on_any_page_nor_sticks_out_when_narrow(page, served, share):
    names, found = _lived_in(served), {}
    for path in PAGES[share::SHARES]:
        page.set_viewport_size({"width": 1280, "height": 800})
        page.goto(path.format(**names))
        found[path] = _everything(page)
        for width in (ZOOMED, NARROW):
            page.set_viewport_size({"width": width, "height": 640})
            found[path] += sideways(page)
    assert {path: one for path, one in found.items() if one} == {}


@pytest.mark.parametrize(
    "state",
    [{"color_scheme": "dark"}, {"forced_colors": "active"}, {"forced_colors": "active", "color_scheme": "dark"}],
    ids=["dark", "forced colours", "forced colours, dark"],
)
def test_every_word_can_be_read_in(page, served, state):
    names, found = _lived_in(served), {}
    page.emulate_media(**state)
    for path in IN_EVERY_STATE:
        page.goto(path.format(**names))
        found[path] = axe_findings(page, CONTRAST)
    page.emulate_media(color_scheme="light", forced_colors="none")
    assert {path: one for path, one in found.items() if one} == {}


def test_nothing_is_found_on_a_small_telephone(page, served):
    names, found = _lived_in(served), {}
    page.set_viewport_size({"width": NARROW, "height": 640})
    for path in IN_EVERY_STATE:
        page.goto(path.format(**names))
        found[path] = _everything(page)
    assert {path: one for path, one in found.items() if one} == {}


def test_nothing_is_found_in_an_empty_shop(page):
    found = {}
    for path in EMPTY:
        page.goto(path)
        found[path] = [*_everything(page), *sideways(page)]
    assert {path: one for path, one in found.items() if one} == {}


def test_nothing_is_found_on_an_answer_and_on_what_was_refused(page, watch):
    watch.expected = ("422", "404")
    found = {}
    fill_order(page, Evening.of_today())
    check_order(page)
    found["answer"] = _everything(page)
    page.fill("#lines-0-quantity", "many")
    check_order(page)
    found["refused"] = _everything(page)
    for path, field, button in (
        ("/office/hours", "#opens-2", "Save opening hours"),
        ("/office/balloon-types/4", "#price", "Save balloon type"),
        ("/office/balloon-types/colours", "#name", "Save colour"),
    ):
        page.goto(path)
        page.fill(field, "" if field == "#name" else "x")
        page.get_by_role("button", name=button).click()
        page.wait_for_selector(".error-summary")
        found[path] = [*_everything(page), *sideways(page)]
    page.goto("/bench/batches/none")
    found["404"] = [*_everything(page), *sideways(page)]
    assert {path: one for path, one in found.items() if one} == {}


CHANGES = """() => {
  const speaks = "output, [role=status], [role=alert], [aria-live=polite], [aria-live=assertive]";
  window.spoken = new Set();
  new MutationObserver((changes) => {
    for (const { target } of changes) {
      const live = (target.closest ? target : target.parentElement)?.closest(speaks);
      if (live && live.getAttribute("aria-live") !== "off") window.spoken.add(live.id || live.className);
    }
  }).observe(document.body, { childList: true, characterData: true, subtree: true });
}"""


def test_while_a_date_is_typed_only_the_answer_speaks(page):
    fill_order(page, Evening.of_today())
    check_order(page)
    page.evaluate(CHANGES)
    page.fill("#hand_over_time-day", "in 3 days")
    expect(page.locator("#hand_over_time-day-read [data-day]")).to_have_count(1)
    page.press("#hand_over_time-day", "Tab")
    wait_for_answers(page)
    assert len(page.evaluate("[...window.spoken]")) <= 1
