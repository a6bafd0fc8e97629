"""A photo of a finished order becomes a design in two presses, and the counter sells it by its picture."""

import pytest
from playwright.sync_api import expect

from app.actions.photos.reencode import NO_PHOTO
from app.actions.records.orders import load_order
from app.quoting.states import TapAction
from app.web.photos import TOO_MUCH
from tests.actions.photographs import photo_file, stand_ready
from tests.browser.gestures import Evening, at_every_size, fill_moment, save_order, wait_for_answers
from tests.browser.test_pages import TOUCH_PX, refuse_sideways_at_every_size

pytestmark = pytest.mark.browser

NAME = "Two-press bouquet"


@pytest.fixture
def number(served):
    """Of an order that stands ready."""
    number = served.put_order()
    served.tap(number, TapAction.FINISH)
    with served.database.writing() as session:
        stand_ready(session, load_order(session, number))
    return number


def _choose(page, *names):
    files = [{"name": name, "mimeType": "image/jpeg", "buffer": photo_file(1200, 900)} for name in names]
    page.locator("#photo-files").set_input_files(files)


def _open_photos(page, number):
    page.goto(f"/counter/orders/{number}")
    if page.locator("#photos:not([open])").count():
        page.locator("#photos > summary").click()


def _photograph(page, number, *names):
    _open_photos(page, number)
    _choose(page, *names)
    page.get_by_role("button", name="Add photos").click()
    expect(page.locator(".photos li")).to_have_count(len(names))


def _is_seen(picture):
    """Whether the browser could read it."""
    expect(picture).to_be_visible()
    expect(picture).to_have_js_property("complete", True)
    assert picture.evaluate("one => one.naturalWidth") > 0


def _say_when(page):
    evening = Evening.of_today()
    page.fill("#customer", "Odd Larsen")
    page.fill("#phone", "01632 960001")
    fill_moment(page, "event_start", evening.begins)
    fill_moment(page, "lasts_until", evening.ends)
    fill_moment(page, "hand_over_time", evening.ready)


def _is_large_enough(button):
    for _ in at_every_size(button.page):
        box = button.bounding_box()
        assert min(box["width"], box["height"]) >= TOUCH_PX


def test_photo_then_design_then_order(tablet, number):
    page = tablet(has_touch=True)
    _photograph(page, number, "IMG_1.jpg")
    _is_seen(page.locator(".photos img"))
    refuse_sideways_at_every_size(page)
    make = page.locator("[data-make-design=order]")
    _is_large_enough(make)
    make.click()
    expect(page.locator("#parts-0-quantity")).to_have_value("5")
    expect(page.locator("#parts-0-colours")).to_have_value("red, white")
    _is_seen(page.locator("#design-form img"))
    refuse_sideways_at_every_size(page)
    page.locator("#save").click()
    expect(page.locator(".flash")).to_contain_text("11 in latex, red and white")
    _is_seen(page.locator(".designs img"))
    refuse_sideways_at_every_size(page)

    page.goto("/counter/")
    _say_when(page)
    page.locator("#pictured > summary").click()
    tile = page.locator(".tile", has_text="11 in latex, red and white")
    _is_seen(tile.locator("img"))
    _is_large_enough(tile)
    refuse_sideways_at_every_size(page)
    tile.click()
    expect(page.locator("#lines-0-what option:checked")).to_contain_text("11 in latex, red and white")
    expect(page.locator("#lines-0-quantity")).to_be_focused()
    page.keyboard.type("2")
    expect(page.locator("#answer h3")).to_contain_text("2 × 11 in latex, red and white")
    sold = save_order(page)
    expect(page.locator(".read-back")).to_contain_text("2 × 11 in latex, red and white")
    page.goto(f"/bench/batches/{sold}-1")
    _is_seen(page.locator(".ticket .photos img"))
    refuse_sideways_at_every_size(page)


def test_without_scripts_too(tablet, number):
    page = tablet(java_script_enabled=False)
    _photograph(page, number, "../../IMG 1.jpg", "b.jpg")
    page.locator("[data-make-design=order]").first.click()
    page.fill("#name", NAME)
    page.locator("#save").click()
    expect(page.locator(".flash")).to_contain_text(NAME)
    page.goto("/counter/")
    _say_when(page)
    page.locator("#pictured > summary").click()
    page.locator(".tile", has_text=NAME).click()
    expect(page.locator("#lines-0-what option:checked")).to_contain_text(NAME)
    expect(page.locator("#customer")).to_have_value("Odd Larsen")


def test_a_double_press_keeps_one_photo(page, served, number):
    _open_photos(page, number)
    _choose(page, "IMG_1.jpg")
    page.get_by_role("button", name="Add photos").dblclick()
    expect(page.locator(".photos li")).to_have_count(1)
    page.wait_for_load_state("networkidle")
    page.reload()
    expect(page.locator(".photos li")).to_have_count(1)


def test_what_is_no_photo_is_told_at_its_field(page, watch, number):
    watch.expected = ("422",)
    _open_photos(page, number)
    drawing = b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>'
    page.locator("#photo-files").set_input_files([{"name": "x.jpg", "mimeType": "image/jpeg", "buffer": drawing}])
    page.get_by_role("button", name="Add photos").click()
    expect(page.locator("#photo-files-problem")).to_have_text(NO_PHOTO)
    expect(page.locator(".photos li")).to_have_count(0)


def test_a_file_far_too_large_gets_a_page_and_no_broken_line(page, watch, number, tmp_path):
    """70 MB: more than a form of photos holds."""
    watch.expected = ("413",)
    heavy = tmp_path / "heavy.jpg"
    with heavy.open("wb") as file:
        file.truncate(70 * 1024 * 1024)
    _open_photos(page, number)
    page.locator("#photo-files").set_input_files(heavy)
    page.get_by_role("button", name="Add photos").click()
    expect(page.get_by_role("alert")).to_contain_text(TOO_MUCH)


def test_the_panel_stays_open_and_the_next_picture_goes_into_a_line_of_its_own(page, served):
    first, second = served.put_design("Gull bouquet"), served.put_design("Tern trio")
    page.goto("/counter/")
    page.locator("#pictured > summary").click()
    for place, design in enumerate((first, second)):
        page.locator(f"#pictured-{design}").click()
        wait_for_answers(page)
        expect(page.locator(f"#lines-{place}-what")).to_have_value(f"design:{design}")
        expect(page.locator(f"#lines-{place}-quantity")).to_be_focused()
    expect(page.locator(f"#pictured-{first}")).to_be_visible()
