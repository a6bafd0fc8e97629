"""How a piece is put together, as the bench and the counter see it in a browser."""

import re

import pytest
from playwright.sync_api import expect
from sqlalchemy import delete

from app.craft.build import Construction
from app.quoting.request import LineRequest
from app.store.models import DesignRow, OrderLine, SupplyRow
from tests.actions.craft_builders import HELIUM, design, supply
from tests.browser.gestures import at_every_size

pytestmark = pytest.mark.browser

TOPPED = [("18 in foil", HELIUM, 1, [("silver", 1)]), ("11 in latex", HELIUM, 9)]


@pytest.fixture
def bouquet(served):
    """A design of ten balloons with a weight, taken out of the served shop again afterwards."""
    with served.database.writing() as session:
        star = supply(session, "paper star", "weight", grams=50.0).id
        supplies = [(session.get(SupplyRow, star), 1)]
        made = design(session, Construction.BOUQUET, TOPPED, None, supplies, ["Tie a bow."], name="Quay bouquet").id
    yield made
    with served.database.writing() as session:
        session.execute(delete(OrderLine).where(OrderLine.design_id == made))
        session.delete(session.get(DesignRow, made))
        session.flush()
        session.delete(session.get(SupplyRow, star))


def _order(served, design_id):
    return served.put_order(lines=(LineRequest(None, design_id, 2, "red, white"),))


def test_the_ticket_shows_the_drawing_and_the_cut_list(page, served, bouquet):
    page.goto(f"/bench/batches/{_order(served, bouquet)}-2")
    drawing = page.locator(".sheet-picture")
    expect(drawing).to_be_visible()
    assert drawing.locator("circle").count() == 10
    cuts = page.locator(".sheet-cuts")
    expect(cuts.get_by_role("row")).to_have_count(1 + 4 + 1)
    assert _whole(cuts) == 20
    expect(page.locator("[data-caution]").filter(has_text="50 g")).to_be_visible()
    expect(page.get_by_text("Tie a bow.")).to_be_visible()


def test_it_stands_open_once_in_an_order_and_the_other_tickets_lead_to_it(page, served, bouquet):
    number = _order(served, bouquet)
    page.goto(f"/bench/batches/{number}-1")
    sheet = page.locator(".sheet-of-piece")
    expect(sheet.locator(".sheet-picture")).to_be_hidden()
    sheet.locator("summary").click()
    expect(sheet.locator(".sheet-picture")).to_be_visible()
    sheet.get_by_role("link", name=f"{number}-2").click()
    expect(sheet.locator(".sheet-picture")).to_be_visible()
    expect(sheet.locator("[data-leader]")).to_have_count(0)


def _whole(cuts):
    """Ribbons for both, as the list has them."""
    return sum(int(text) for text in cuts.locator("tbody td:last-child").all_inner_texts())


def test_the_order_unfolds_it(page, served, bouquet):
    page.goto(f"/counter/orders/{_order(served, bouquet)}")
    drawing = page.locator(".sheet-picture")
    expect(drawing).to_be_hidden()
    page.locator("#build-sheets > summary").click()
    page.get_by_text("2 × Quay bouquet").last.click()
    expect(drawing).to_be_visible()


def test_each_colour_of_the_picture_has_a_shade_of_its_own(page, served, bouquet):
    page.goto(f"/bench/batches/{_order(served, bouquet)}-2")
    fills = page.locator(".sheet-key circle").evaluate_all("all => all.map(e => getComputedStyle(e).fill)")
    assert len(set(fills)) == 3


def test_a_piece_is_tried_without_a_script(tablet, served):
    page = tablet(java_script_enabled=False)
    page.goto("/bench")
    page.get_by_text("Days and lists").click()
    page.get_by_role("link", name="Build calculator").click()
    page.get_by_role("link", name="Column").click()
    page.get_by_label("Height").fill("2")
    page.locator("#check").click()
    expect(page.locator("#made .facts")).to_contain_text(re.compile(r"40 .*10 .*1\.96 m.* 44 .*11 .*2\.15 m"))


def test_a_mistake_stands_at_its_field(page, watch):
    watch.expected = ("422",)
    page.goto("/bench/calculator?form=arch")
    page.get_by_label("Span").fill("wide")
    page.locator("#check").click()
    expect(page.locator("#span_m-problem")).to_be_visible()
    expect(page.get_by_label("Span")).to_have_value("wide")


@pytest.mark.parametrize("form", ["bouquet", "base", "column", "arch", "garland", "strung", "stuffed"])
def test_every_form_stays_within_its_width(page, form):
    page.goto(f"/bench/calculator?form={form}&colours=red,+white")
    for width in at_every_size(page):
        drawn = page.locator(".sheet-picture").bounding_box()
        assert drawn["width"] > 60
        assert drawn["x"] + drawn["width"] <= width
        assert page.evaluate("document.documentElement.scrollWidth") <= width
