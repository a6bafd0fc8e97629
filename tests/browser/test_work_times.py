"""How long work takes at the bench, and saving it with one press."""

from datetime import UTC, datetime, timedelta

import pytest
from playwright.sync_api import expect

from app.actions.bench.taps import Press, tap_batch
from app.actions.records.orders import load_order
from app.actions.shop.office import change_settings
from app.quoting.states import TapAction
from tests.actions.builders import ctx

pytestmark = pytest.mark.browser


@pytest.fixture
def quick_bench(served):
    """Nine batches of thirty, some at half past eleven three days ago, each in ten minutes."""
    noon = datetime.now(UTC).replace(hour=6, minute=0, second=0, microsecond=0) - timedelta(days=3)
    for number in range(9):
        order = served.put_order()
        with served.database.writing() as session:
            (batch,) = load_order(session, order).batches
            for act, minutes in ((TapAction.START, 0), (TapAction.FINISH, 10 + number / 10)):
                moment = noon + timedelta(minutes=minutes + 20 * number)
                tap_batch(
                    ctx(session, who="Noor", now=moment), batch.key, Press(act, f"{batch.key} {act}", sure=True)
                )
    yield served
    with served.database.writing() as session:
        change_settings(session, {"handle_seconds": 36})


def test_it_is_saved_with_one_press_and_then_no_longer_offered(quick_bench, tablet):
    page = tablet(width=390, height=844)
    page.goto("/office/work-times")
    handling = page.locator("#handle_seconds")
    expect(handling).to_have_attribute("data-outcome", "offered")
    handling.locator("details.batches > summary").click()
    expect(handling.get_by_role("row")).to_have_count(10)
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    handling.locator("#save-handle_seconds").click()
    expect(page.get_by_role("status").first).to_be_visible()
    expect(handling).to_have_attribute("data-outcome", "as it is")
    expect(handling.locator("#save-handle_seconds")).to_have_count(0)
