"""The holding area below the load of a day: drawn on the same hours, and in the same table."""

import pytest
from playwright.sync_api import expect

from app.actions.shop.office import change_settings
from tests.browser.gestures import Evening

pytestmark = pytest.mark.browser


@pytest.fixture
def small_holding_area(served):
    def room(balloons):
        with served.database.writing() as session:
            change_settings(session, {"holding_area_room": balloons})

    room(3)
    yield served
    room(0)


def test_too_full_is_drawn_said_and_in_the_table(small_holding_area, tablet):
    small_holding_area.put_order()
    page, day = tablet(width=390, height=844), Evening.of_today().ready
    page.goto(f"/bench/staff?day={day:%Y-%m-%d}")
    picture = page.locator("figure:has(.holding-area-room)")
    expect(picture.locator(".holding-area-over").first).to_be_visible()
    expect(picture.locator(".holding-area-mark").first).to_have_text("!")
    expect(page.locator("[data-holding-area=over]")).to_contain_text("5 balloons, room for 3")
    page.locator("details:has(table) summary").last.click()
    expect(page.get_by_role("cell", name="5, too full").first).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
