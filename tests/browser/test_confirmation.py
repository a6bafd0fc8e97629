"""The confirmation on paper: the usual order takes one page."""

import re

import pytest

from app.actions.shop.office import change_settings

pytestmark = pytest.mark.browser


@pytest.fixture
def reached(served):
    """A shop that says where it is."""
    with served.database.writing() as session:
        change_settings(session, {"shop_address": "4 Thistledown Lane, Zephyrwick", "shop_phone": "01632 960000"})
    yield served
    with served.database.writing() as session:
        change_settings(session, {"shop_address": "", "shop_phone": ""})


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_confirmation_of_the_usual_order_is_one_page(page, reached, paper):
    page.goto(f"/counter/orders/{reached.put_order()}/confirmation")
    printed = page.pdf(format=paper, margin=dict.fromkeys(("top", "right", "bottom", "left"), "15mm"))
    assert len(re.findall(rb"/Type\s*/Page\b", printed)) == 1
