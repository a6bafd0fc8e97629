"""Takes the pictures of the help from the demo, as it is on a busy morning:

    .venv/bin/python -m tests.browser.pictures

It writes each picture, light and dark, and the list of them that the help reads, with their sizes and what they
show. With names behind it, it takes only these. Run it whenever a page was drawn again.
"""

import io
import json
import sys
import time
from collections.abc import Callable
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from PIL import Image

from tests.browser.chromium import ARGUMENTS, PROGRAMS, find_chromium
from tests.browser.demo import MORNING, served_demo

FOLDER = Path(__file__).resolve().parents[2] / "static" / "pictures"
LIST = "pictures.json"
MOST_BYTES = 60_000
LOOKS = ("light", "dark")
CALL = {
    **{"customer": "Wilhelmina Hart", "phone": "01632 960101", "occasion": "event", "hand_over": "collect"},
    **{"event_start-day": "21 Nov 2026", "event_start-hour": "18:00", "surroundings": "indoors"},
    **{"lasts_until-day": "21 Nov 2026", "lasts_until-hour": "22:30"},
    **{"hand_over_time-day": "21 Nov 2026", "hand_over_time-hour": "16:30"},
    **{"lines-0-what": "11 in latex", "lines-0-quantity": "24", "lines-0-colours": "12 rose, 12 pearl"},
    **{"lines-1-what": "18 in foil", "lines-1-quantity": "2", "lines-1-colours": "heart"},
    **{"lines-0-gas": "helium", "lines-1-gas": "helium"},
}
"""What a caller says: an order of two lines for the evening."""
SEND_FORM = """([address, said]) => {
  const form = document.getElementById("order-form");
  for (const [name, text] of Object.entries(said)) {
    form.querySelectorAll(`[name="${name}"]`).forEach((old) => old.remove());
    form.append(Object.assign(document.createElement("input"), { type: "hidden", name, value: text }));
  }
  form.action = address;
  form.submit();
}"""
"""Sends the form of an order as a browser without JavaScript does, whatever it looks like."""


@dataclass(frozen=True)
class Picture:
    """A picture of a page in a window of this size. show: brings the page up, and returns what of it is taken; None
    takes all that the window shows."""

    name: str
    shows: str
    width: int
    height: int
    show: Callable


def _open(path):
    """Returns what brings up the page at this address of the demo."""

    def show(page, demo):
        page.goto(demo.address + path)

    return show


def _show_ticket(page, demo):
    page.goto(f"{demo.address}/bench/batches/{demo.batch}")


def _show_answer(page, demo):
    said = {name: demo.goods.get(text, text) for name, text in CALL.items()}
    page.goto(f"{demo.address}/counter/")
    with page.expect_navigation():
        page.evaluate(SEND_FORM, ["/counter/draft", said])
    page.locator("[data-role=verdict], [data-verdict]").first.wait_for()


def _show_pickups(page, demo):
    """Brings up the pick-ups with an order that is filled, so that its further steps are there to tick."""
    demo.finish()
    page.goto(f"{demo.address}/pickups/")


def _show_build_sheet(page, demo):
    page.goto(f"{demo.address}/bench/calculator?form=bouquet")
    page.fill("#colours", "teal, copper, white")
    page.locator("#check").click()
    return page.locator("#made")


# The order counts: what the last one shows is no more at work.
PICTURES = (
    Picture(
        "board",
        "The board of a Saturday at 09:20: the batch that is being filled, then the next ones by the time to start"
        " them, each with its colours and its float strip.",
        *(820, 1180, _open("/bench")),
    ),
    Picture(
        "ticket",
        "The ticket of 24 red and white balloons, 12 of them filled, with a button for each further tap.",
        *(820, 1180, _show_ticket),
    ),
    Picture(
        "build-sheet",
        "The build sheet of a bouquet of nine balloons: its drawing, what to cut, what it weighs, and its steps.",
        *(1280, 800, _show_build_sheet),
    ),
    Picture(
        "answer",
        "An order of two lines while it is typed: the form, and next to it whether it is safe, its price and the"
        " button that saves it.",
        *(1280, 800, _show_answer),
    ),
    Picture(
        "orders",
        "The list of orders: each with its number, its customer, when it leaves and how far it is.",
        *(1280, 800, _open("/counter/orders")),
    ),
    Picture(
        "pickups",
        "The pick-ups of a Saturday: when each order leaves, how far it is, and what is to do before it goes.",
        *(820, 1180, _show_pickups),
    ),
)


@contextmanager
def started_chromium():
    """A browser that was started for the pictures."""
    from playwright.sync_api import sync_playwright  # noqa: PLC0415  only who takes pictures needs it

    program = find_chromium()
    if program is None:
        sys.exit(f"No Chromium here: none of {', '.join(PROGRAMS)} is installed.")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=program, args=[*ARGUMENTS])
        yield browser
        browser.close()


def take(pictures, demo, browser):
    """Takes these pictures, light and dark; yields for each the name of its file, and its bytes or why there are
    none."""
    page = _window(browser, demo)
    for picture in pictures:
        yield from _photographs(page, picture, demo)
    page.close()


def file_name(name, look):
    """The name of the file of a picture: “board.webp”, “board-dark.webp”."""
    return f"{name}.webp" if look == LOOKS[0] else f"{name}-{look}.webp"


def _window(browser, demo):
    """A window whose device works as somebody, at the moment of the pictures."""
    page = browser.new_page(locale="en-GB", timezone_id="Europe/London", reduced_motion="reduce")
    page.set_default_timeout(10_000)
    page.clock.set_fixed_time(MORNING)
    page.goto(f"{demo.address}/staff/")
    page.get_by_role("button", name=demo.who).click()
    page.locator(f"[data-who='{demo.who}']").wait_for()
    return page


def _photographs(page, picture, demo):
    """Yields the files of a picture with their bytes; with a sentence if its page does not come up as it should."""
    from playwright.sync_api import Error  # noqa: PLC0415  only who takes pictures needs it

    page.set_viewport_size({"width": picture.width, "height": picture.height})
    try:
        what = picture.show(page, demo) or page
        page.wait_for_load_state("networkidle")
        for look in LOOKS:
            page.emulate_media(color_scheme=look)
            yield file_name(picture.name, look), compressed(what.screenshot(animations="disabled"))
    except (Error, ValueError) as wrong:
        yield picture.name, str(wrong).partition("\n")[0] + f" at {page.url}"


def compressed(png):
    """The picture without a loss, or with as many colours as there is room for. Raises ValueError if even a few are
    too many."""
    image = Image.open(io.BytesIO(png)).convert("RGB")
    for colours in (None, 256, 128, 64, 32):
        file = io.BytesIO()
        shown = (
            image.quantize(colours, Image.Quantize.MAXCOVERAGE, dither=Image.Dither.NONE).convert("RGB")
            if colours
            else image
        )
        shown.save(file, "WEBP", lossless=True, quality=100, method=5)
        if file.tell() <= MOST_BYTES:
            return file.getvalue()
    raise ValueError(f"a picture of {image.width} × {image.height} needs more than {MOST_BYTES} bytes")


def main(names):
    """Takes the pictures with these names, or all, and says what was written. Ends with 1 if one could not be
    taken."""
    began, wanted = time.monotonic(), [one for one in PICTURES if not names or one.name in names]
    if unknown := set(names) - {one.name for one in PICTURES}:
        sys.exit(f"No picture is named {', '.join(sorted(unknown))}: {', '.join(one.name for one in PICTURES)}.")
    FOLDER.mkdir(exist_ok=True)
    _remove_strays()
    taken = missed = 0
    with served_demo() as demo, started_chromium() as browser:
        for name, file in take(wanted, demo, browser):
            if isinstance(file, str):
                missed += 1
                print(f"{name}: not taken. {file}", flush=True)
                continue
            taken += 1
            (FOLDER / name).write_bytes(file)
            width, height = Image.open(io.BytesIO(file)).size
            print(f"{name}: {width} × {height}, {len(file) / 1000:.1f} kB", flush=True)
    _write_list()
    print(f"{taken} pictures in {FOLDER}, in {time.monotonic() - began:.0f} s.")
    sys.exit(1 if missed else 0)


def _remove_strays():
    known = {LIST, *(file_name(one.name, look) for one in PICTURES for look in LOOKS)}
    for stray in sorted(FOLDER.glob("*.*")):
        if stray.name not in known:
            stray.unlink()
            print(f"{stray.name}: removed, since no picture is named so any more")


def _write_list():
    """Writes the list that the help reads: what each picture shows, and its size in pixels."""
    sizes = {one.name: Image.open(FOLDER / file_name(one.name, LOOKS[0])).size for one in PICTURES}
    listed = {
        one.name: {"shows": one.shows, "width": sizes[one.name][0], "height": sizes[one.name][1]}
        for one in PICTURES
    }
    (FOLDER / LIST).write_text(json.dumps(listed, indent=2) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main(sys.argv[1:])
