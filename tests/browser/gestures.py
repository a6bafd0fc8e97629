"""Presses and typing on the pages, and the hours of a test's order, all of them later than now."""

import math
import re
import time
from dataclasses import dataclass
from datetime import datetime, timedelta
from weakref import WeakKeyDictionary
from zoneinfo import ZoneInfo

from playwright.sync_api import expect

from tests.browser.conftest import ZONE

SAME_PRESS_MS, SAME_PLACE_PX = 600, 24
SIZES = {"laptop": (1280, 800), "tablet": (820, 1180), "telephone": (390, 844)}
_tapped = WeakKeyDictionary()
"""When each page was tapped last, and where."""


@dataclass(frozen=True)
class Evening:
    """Ready in two hours, begins in three, ends in six; dates and hours as the shop's clocks show them."""

    now: datetime

    @classmethod
    def of_today(cls):
        return cls(datetime.now(ZoneInfo(ZONE)))

    def at(self, hours):
        return self.now + timedelta(hours=hours)

    @property
    def ready(self):
        return self.at(2)

    @property
    def begins(self):
        return self.at(3)

    @property
    def ends(self):
        return self.at(6)


def fill_moment(page, name, moment):
    page.fill(f"#{name}-day", f"{moment:%Y-%m-%d}")
    page.fill(f"#{name}-hour", f"{moment:%H:%M}")


def fill_line(page, place, what="11 in latex", quantity="5", colours="3 red, 2 white"):
    choice = page.locator(f"#lines-{place}-what option", has_text=re.compile(rf"^{re.escape(what)} ·")).first
    page.select_option(f"#lines-{place}-what", choice.get_attribute("value"))
    page.fill(f"#lines-{place}-quantity", quantity)
    page.fill(f"#lines-{place}-colours", colours)


def fill_order(page, evening, customer="Odd Larsen"):
    """Types a whole order into the counter's empty form."""
    page.goto("/counter/")
    page.fill("#customer", customer)
    page.fill("#phone", "01632 960001")
    fill_moment(page, "event_start", evening.begins)
    fill_moment(page, "lasts_until", evening.ends)
    fill_moment(page, "hand_over_time", evening.ready)
    fill_line(page, 0)


def check_order(page):
    page.locator("#work").click()
    wait_for_answers(page)


def wait_for_answers(page):
    """Waits until no answer is under way: one to an earlier press would stand over what is typed next."""
    expect(page.locator(".htmx-request")).to_have_count(0)


def save_order(page):
    """Takes the order and gives its number, read from the page that reads it back."""
    page.locator("#take").click()
    expect(page).to_have_url(re.compile(r"/counter/orders/\d+$"))
    return int(page.url.rpartition("/")[2])


def choose_staff_name(page, name="Noor"):
    page.goto("/staff/")
    page.locator("#name").fill(name)
    page.locator("form[action='/staff/new'] button").click()
    page.get_by_role("button", name=name).click()
    expect(page.locator(".who")).to_have_attribute("data-who", name)


def open_ticket(page, number, batch=1):
    page.goto(f"/bench/batches/{number}-{batch}")
    expect(page.locator("#ticket")).to_be_visible()


def tap(button):
    """One press and its answer, not so soon after the last press nearby that it would be the same one."""
    page, place = button.page, _middle_of(button)
    before, last_place = _tapped.get(page, (-math.inf, place))
    left_ms = SAME_PRESS_MS + 50 - 1000 * (time.monotonic() - before)
    if left_ms > 0 and math.dist(place, last_place) < 3 * SAME_PLACE_PX:
        page.wait_for_timeout(left_ms)
    button.click()
    _tapped[page] = time.monotonic(), place
    wait_for_answers(page)


def _middle_of(button):
    """Where it is clicked in the window."""
    button.scroll_into_view_if_needed()
    box = button.bounding_box()
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def at_every_size(page):
    """The page in a window as wide as a laptop's, a tablet's and a telephone's, loaded once."""
    for width, height in SIZES.values():
        page.set_viewport_size({"width": width, "height": height})
        yield width


def hold_requests(page, address, words):
    """Holds the requests for that address that have those words in them, one after the other, in a list."""
    held = []

    def listen(route):
        asked = route.request.url + (route.request.post_data or "")
        held.append(route) if words in asked else route.continue_()

    page.route(address, listen)
    return held


def release_requests(page, held):
    """What was held goes on, until it is answered or, where the page gave it up, known to be lost."""
    for route in held:
        route.continue_()
        answer = route.request.response()
        if answer:
            answer.finished()
    wait_for_answers(page)


def burst(page, colour):
    """The button that says one of this colour burst."""
    return page.get_by_role("group", name="Burst").get_by_role("button", name=colour)


def count_field(page):
    """Where so many filled are typed, on a ticket."""
    return page.get_by_label("Filled now", exact=True)


def progress(page):
    return page.locator(".progress")


def typed(page):
    """Everything that stands in the order form's visible fields, by id."""
    fields = page.locator("#order-form").locator("input:visible, select:visible, textarea:visible")
    return fields.evaluate_all(
        """all => Object.fromEntries(
            all.map(f => [f.id, f.matches('[type=radio], [type=checkbox]') ? f.checked : f.value]))"""
    )


def unfold(page, selector):
    """Opens what that field is folded behind, if it is not open."""
    page.locator(selector).evaluate(
        "field => { for (let fold = field; (fold = fold.parentElement.closest('details'));) fold.open = true; }"
    )
