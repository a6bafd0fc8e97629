"""A supply is added with a mistake first, with and without JavaScript: what was typed stays."""

import pytest
from playwright.sync_api import expect
from sqlalchemy import delete

from app.store.models import SupplyRow

pytestmark = pytest.mark.browser

NAME = "Plush hare"


@pytest.fixture
def shop(served):
    yield served
    with served.database.writing() as session:
        session.execute(delete(SupplyRow).where(SupplyRow.name == NAME))


@pytest.mark.parametrize("script", [True, False], ids=["with JavaScript", "without"])
def test_a_supply_is_added_after_a_mistake(tablet, watch, shop, script):
    watch.expected = ("422",)
    page = tablet(java_script_enabled=script)
    page.goto("/office/supplies")
    page.get_by_role("link", name="Add supply").click()
    page.get_by_role("link", name="Plush").click()
    page.get_by_label("Name", exact=True).fill(NAME)
    page.get_by_label("Width", exact=True).fill("wide")
    page.get_by_label("Cost of a pack").fill("4.30")
    page.locator("#save").click()
    expect(page.locator("#width_cm-problem")).to_be_visible()
    expect(page.get_by_label("Name", exact=True)).to_have_value(NAME)
    expect(page.get_by_label("Width", exact=True)).to_have_value("wide")
    expect(page.get_by_label("Cost of a pack")).to_have_value("4.30")
    page.get_by_label("Width", exact=True).fill("11")
    page.locator("#save").click()
    expect(page.get_by_role("status").first).to_contain_text(NAME)
    expect(page.get_by_role("row", name=NAME)).to_contain_text("£4.30")
