"""Nothing is found in the other states of a page: dark, narrow, in forced colours, empty, refused. The walk over
all pages is in test_pages."""

import hashlib

import pytest
from playwright.sync_api import expect

from tests.browser.findings import AXE, CONTRAST, NARROW, axe_findings, own_findings, sideways
from tests.browser.gestures import Evening, check_order, fill_order, wait_for_answers
from tests.browser.test_pages import _lived_in

pytestmark = pytest.mark.browser

AXE_SHA256 = "29348999450cdf2849a8e70b7912fc2da85a849da39c0d0d5394f51d4a9ed95c"
EMPTY = (
    *("/counter/", "/bench", "/pickups/", "/office/review", "/office/stock", "/office/gas", "/office/stock/buying"),
    "/office/review/orders",
    *("/bench/fetch-list", "/counter/orders", "/office/rentals", "/office/designs"),
)
"""The steps of the first day are looked at in test_first_day."""
IN_EVERY_STATE = (
    *("/counter/", "/counter/orders/{number}", "/bench", "/bench/batches/{number}-1", "/pickups/?day={day}"),
    *("/office/hours", "/office/stock/balloon-type/4", "/staff/", "/office/review", "/office/start"),
)


def _everything(page):
    return [*axe_findings(page), *own_findings(page)]


def _sideways_when_narrow(page):
    page.set_viewport_size({"width": NARROW, "height": 640})
    found = sideways(page)
    page.set_viewport_size({"width": 1280, "height": 800})
    return found


def test_axe_is_the_file_that_was_vendored():
    assert hashlib.sha256(AXE.encode()).hexdigest() == AXE_SHA256


STATES = {
    "as usual": {"color_scheme": "light", "forced_colors": "none"},
    "dark": {"color_scheme": "dark", "forced_colors": "none"},
    "forced colours": {"color_scheme": "dark", "forced_colors": "active"},
}


def test_nothing_is_found_on_a_small_telephone_and_every_word_can_be_read_in_all_colours(page, served):
    names, found = _lived_in(served), {}
    for path in IN_EVERY_STATE:
        page.set_viewport_size({"width": NARROW, "height": 640})
        page.goto(path.format(**names))
        found[path, "narrow"] = _everything(page)
        page.set_viewport_size({"width": 1280, "height": 800})
        for name in ("dark", "forced colours"):
            page.emulate_media(**STATES[name])
            found[path, name] = axe_findings(page, CONTRAST)
        page.emulate_media(**STATES["as usual"])
    assert not any(found.values()), "\n".join(f"{where}: {one}" for where, every in found.items() for one in every)


def test_nothing_is_found_in_an_empty_shop(page):
    found = {}
    for path in EMPTY:
        page.goto(path)
        found[path] = [*_everything(page), *_sideways_when_narrow(page)]
    assert not any(found.values()), "\n".join(f"{path}: {one}" for path, all_of in found.items() for one in all_of)


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
        found[path] = [*_everything(page), *_sideways_when_narrow(page)]
    page.goto("/bench/batches/none")
    found["404"] = [*_everything(page), *_sideways_when_narrow(page)]
    assert not any(found.values()), "\n".join(f"{path}: {one}" for path, all_of in found.items() for one in all_of)


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


SALE = "/counter/quick-sale?what=own-12&quantity=3"
COVERED = """() => {
  const one = document.activeElement, box = one.getBoundingClientRect();
  if (one === document.body || one.matches(".skip") || !box.height) return "";
  const [x, y] = [box.left + Math.min(box.width / 2, 20), box.top + Math.min(box.height / 2, 20)];
  const top = document.elementFromPoint(x, y);
  const holds = (outer, inner) => outer.contains(inner);
  const seen = top && (holds(one, top) || holds(top, one) || [...one.labels ?? []].some((of) => holds(of, top)));
  return seen ? "" : `${one.outerHTML.slice(0, 100)} at ${Math.round(y)} of ${innerHeight}`;
}"""


@pytest.mark.parametrize("path", ["/office/settings/shop", "/office/balloon-types/4", "/help/counter", SALE])
def test_what_has_the_focus_is_never_under_a_bar_that_stays(page, path):
    page.set_viewport_size({"width": 820, "height": 600})
    page.goto(path)
    covered = []
    for _ in range(60):
        page.keyboard.press("Tab")
        covered.append(page.evaluate(COVERED))
    assert [one for one in covered if one] == []


AS_IT_LEAVES = """() => addEventListener("beforeunload", () => {
  const pressed = document.activeElement;
  sessionStorage.left = `${pressed.ariaBusy} ${getComputedStyle(pressed).outlineStyle}`;
})"""


def test_a_press_shows_that_it_was_made_until_the_answer_is_there(page):
    page.goto("/office/hours")
    page.evaluate(AS_IT_LEAVES)
    page.get_by_role("button", name="Save opening hours").click()
    expect(page.locator(".flash")).to_be_visible()
    assert page.evaluate("sessionStorage.left") == "true dashed"
    expect(page.locator("[aria-busy]")).to_have_count(0)


def test_what_was_saved_is_said(page):
    page.goto("/office/balloon-types/colours")
    page.fill("#name", "Dusk")
    page.get_by_role("button", name="Save colour").click()
    expect(page.locator(".flash")).to_contain_text("Dusk")
    expect(page.locator(".flash")).to_have_attribute("role", "status")
