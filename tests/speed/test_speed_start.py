"""How long the program takes to show its first page, what that page weighs, and how much memory it takes.

Skipped unless asked for: pytest tests/speed --benchmark-only -n0. Times are multiples of what Python takes to
import Flask in the same run; nothing is asserted about them.
"""

import os
import re
import shutil
import statistics
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.serving import environment, get, running

ROUNDS = 5
REQUESTS = 200
PAGES = ("/bench", "/counter/", "/pickups/", "/office/review", "/counter/orders", "/counter/weeks", "/office/stock")
FIRST_DRAWN = {"/bench": 14, "/counter/": 14, "/pickups/": 20, "/office/review": 40}
KB = 1000


def _seconds_to_import_flask():
    began = time.monotonic()
    subprocess.run([sys.executable, "-c", "import flask"], check=True, env=environment())
    return time.monotonic() - began


def _seconds_to_first_page(file, log):
    began = time.monotonic()
    with running(["-m", "app", "serve"], log, DATABASE_URL=f"sqlite:///{file}") as port:
        assert get(port, "/bench")[0] == 200
        return time.monotonic() - began


@pytest.mark.parametrize("shop", ["demo_now", "many_years"])
def test_start_to_first_page(note, request, tmp_path, shop):
    file = shutil.copy(request.getfixturevalue(shop), tmp_path / "shop.sqlite")
    flask = statistics.median(_seconds_to_import_flask() for _ in range(ROUNDS))
    ours = statistics.median(_seconds_to_first_page(file, tmp_path / "log") for _ in range(ROUNDS))
    note(f"start to first page, {shop.replace('_', ' ')}", ours / flask, "× import flask", aim=3)


@pytest.mark.parametrize(("shop", "aim"), [("demo_now", 110), ("many_years", 130)])
def test_memory_after_many_pages(note, request, tmp_path, shop, aim):
    file = shutil.copy(request.getfixturevalue(shop), tmp_path / "shop.sqlite")
    with running(["-m", "app", "serve"], tmp_path / "log", DATABASE_URL=f"sqlite:///{file}") as port:
        for number in range(REQUESTS):
            assert get(port, PAGES[number % len(PAGES)])[0] == 200
        note(f"memory after {REQUESTS} pages, {shop.replace('_', ' ')}", _resident(port) / 1e6, "MB", aim)


def _resident(port):
    """The bytes of memory of the process that listens on the port."""
    for status in Path("/proc").glob("[0-9]*/cmdline"):
        words = status.read_bytes().split(b"\0") if status.exists() else []
        if str(port).encode() in words:
            pages = int((status.parent / "statm").read_text().split()[1])
            return pages * os.sysconf("SC_PAGE_SIZE")
    raise AssertionError(f"No process serves port {port}.")


@pytest.mark.parametrize(("path", "aim"), FIRST_DRAWN.items())
def test_a_page_of_the_demo(measure, demo_line, path, aim):
    measure(f"the demo's {path}, asked again", lambda: demo_line.ask(path), aim)


@pytest.mark.parametrize("path", FIRST_DRAWN)
def test_what_a_page_of_the_demo_weighs(note, demo_line, path):
    note(f"the demo's {path}, compressed", demo_line.size(path) / KB, "kB", aim=20)


def test_a_cold_board_on_the_wire(note, demo_line):
    """What a browser fetches that has nothing yet: the page, its stylesheets, scripts and pictures."""
    page = demo_line.ask("/bench")
    assets = {*re.findall(r'(?:src|href)="(/static/[^"]+)"', page)}
    total = demo_line.size("/bench") + sum(demo_line.size(one.replace("&amp;", "&")) for one in assets)
    note(f"cold board on the wire, {len(assets)} files besides", total / KB, "kB", aim=45)
