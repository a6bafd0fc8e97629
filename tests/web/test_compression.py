"""What goes over the wire: the same content in fewer bytes, to browsers that take it, and files once for all."""

import gzip
import re
from pathlib import Path

import pytest
from flask import Flask, Response

from app.web.compression import LEAST_BYTES, register_compression
from app.web.static_files import asset
from tests.web.stylesheets import STATIC

GZIP = {"Accept-Encoding": "gzip, deflate"}
LONG = "Balloons, balloons! " * 100
MOST_OF_A_PAGE = 20_000
MOST_OF_A_COLD_BOARD = 45_000
PAGES = ("/bench", "/counter/", "/pickups/", "/office/")
PARTS_OF_A_PAGE = re.compile(r'(?:href|src)="(/static/[^"]+)"')


@pytest.fixture
def texts():
    """Answers of all kinds, in a browser of their own."""
    app = Flask(__name__)
    register_compression(app)
    answers = {
        "long": lambda: LONG,
        "least": lambda: "x" * LEAST_BYTES,
        "short": lambda: "x" * (LEAST_BYTES - 1),
        "json": lambda: {"said": LONG},
        "picture": lambda: Response(LONG.encode(), mimetype="image/webp"),
        "nothing": lambda: ("", 204),
        "refused": lambda: (LONG, 422),
        "packed": lambda: Response(b"?" * 2000, mimetype="text/plain", headers={"Content-Encoding": "other"}),
        "stream": lambda: Response((LONG for _ in range(3)), mimetype="text/csv"),
    }
    for name, answer in answers.items():
        app.add_url_rule(f"/{name}", name, answer)
    return app.test_client()


def _encoding(answer):
    return answer.headers.get("Content-Encoding")


@pytest.mark.parametrize(("name", "status"), [("long", 200), ("refused", 422), ("json", 200), ("least", 200)])
def test_a_long_text_arrives_packed_and_is_the_same(texts, name, status):
    plain, packed = texts.get(f"/{name}"), texts.get(f"/{name}", headers=GZIP)
    assert (_encoding(plain), _encoding(packed)) == (None, "gzip")
    assert packed.status_code == plain.status_code == status
    assert gzip.decompress(packed.data) == plain.data
    assert int(packed.headers["Content-Length"]) == len(packed.data) < len(plain.data)
    assert packed.mimetype == plain.mimetype


@pytest.mark.parametrize("name", ["short", "picture", "nothing", "packed", "stream"])
def test_what_would_win_nothing_stays_as_it_is(texts, name):
    plain, asked = texts.get(f"/{name}"), texts.get(f"/{name}", headers=GZIP)
    assert asked.data == plain.data
    assert _encoding(asked) == _encoding(plain)


@pytest.mark.parametrize(
    ("accepted", "encoding"),
    [
        ("gzip", "gzip"),
        ("br, gzip;q=0.5", "gzip"),
        ("*", "gzip"),
        ("identity;q=0.5, gzip;q=0.6", "gzip"),
        ("gzip;q=0", None),
        ("gzip;q=0, *", None),
        ("*;q=0", None),
        ("identity, gzip;q=0.5", None),
        ("br, zstd", None),
        ("", None),
    ],
)
def test_only_who_takes_it_gets_it(texts, accepted, encoding):
    answer = texts.get("/long", headers={"Accept-Encoding": accepted})
    assert _encoding(answer) == encoding
    assert "Accept-Encoding" in answer.headers["Vary"]


def test_head_is_told_what_get_would_be(texts):
    got, head = texts.get("/long", headers=GZIP), texts.head("/long", headers=GZIP)
    assert head.data == b""
    assert [head.headers[name] for name in ("Content-Encoding", "Content-Length", "Vary")] == [
        got.headers[name] for name in ("Content-Encoding", "Content-Length", "Vary")
    ]


@pytest.mark.parametrize("address", PAGES)
def test_the_pages_of_the_demo_are_short_on_the_wire_and_nowhere_kept(demo, address):
    page = demo.get(address, headers=GZIP)
    assert _encoding(page) == "gzip"
    assert len(page.data) <= MOST_OF_A_PAGE
    assert page.headers["Cache-Control"] == "no-store"
    assert {"Accept-Encoding", "Cookie"} <= set(page.vary)
    assert "</html>" in gzip.decompress(page.data).decode()


def test_a_part_of_a_page_is_packed_too(demo):
    part = demo.get("/bench", headers=GZIP | {"HX-Request-Type": "partial"})
    assert _encoding(part) == "gzip"
    assert set(part.vary) >= {"HX-Request-Type", "Accept-Encoding"}


def test_a_board_that_was_never_seen_is_there_with_little(demo):
    """The page, its stylesheets, its scripts and its sign, with what is said of each before its content."""
    page = demo.get("/bench", headers=GZIP)
    parts = sorted(set(PARTS_OF_A_PAGE.findall(gzip.decompress(page.data).decode())))
    assert sum(part.endswith((".css", ".js")) or ".css?" in part or ".js?" in part for part in parts) >= 4
    answers = [page, *(demo.get(part, headers=GZIP) for part in parts)]
    assert sum(len(answer.data) + len(str(answer.headers)) for answer in answers) <= MOST_OF_A_COLD_BOARD


# Files of the house.


@pytest.fixture
def files(shared_app, tmp_path, monkeypatch):
    """A folder of files of this test alone, and a browser that asks for them."""
    folder = tmp_path / "static"
    folder.mkdir()
    (folder / "sheet.css").write_text(LONG)
    monkeypatch.setattr(shared_app, "static_folder", str(folder))
    return folder, shared_app.test_client()


@pytest.mark.parametrize("name", ["house.css", "house.js", "vendor/htmx-4.0.1.min.js", "icon.svg"])
def test_a_file_arrives_packed_and_is_the_same(client, name):
    plain, packed = client.get(f"/static/{name}"), client.get(f"/static/{name}", headers=GZIP)
    assert (_encoding(plain), _encoding(packed)) == (None, "gzip")
    assert plain.data == gzip.decompress(packed.data) == (STATIC / name).read_bytes()
    assert "Accept-Encoding" in plain.vary
    assert "Accept-Encoding" in packed.vary


def test_a_picture_is_sent_as_it_is(client):
    answer = client.get("/static/pictures/board.webp", headers=GZIP)
    assert _encoding(answer) is None
    assert answer.data == (STATIC / "pictures" / "board.webp").read_bytes()


def test_the_icon_is_found_by_the_name_that_browsers_know(client):
    assert client.get("/favicon.ico").mimetype == "image/svg+xml"


def test_a_file_that_a_browser_has_is_not_sent_again(client):
    plain, packed = client.get("/static/house.css"), client.get("/static/house.css", headers=GZIP)
    assert plain.headers["ETag"] != packed.headers["ETag"]
    for first, more in ((plain, {}), (packed, GZIP)):
        again = client.get("/static/house.css", headers=more | {"If-None-Match": first.headers["ETag"]})
        assert (again.status_code, again.data) == (304, b"")
        assert again.headers["ETag"] == first.headers["ETag"]
        other = client.get("/static/house.css", headers=more | {"If-None-Match": '"older"'})
        assert (other.status_code, other.data) == (200, first.data)


def test_it_is_kept_for_long_under_the_address_of_its_version_only(shared_app, client):
    with shared_app.test_request_context():
        address = asset("house.css")
    kept = client.get(address).cache_control
    assert (kept.immutable, kept.public, kept.max_age) == (True, True, 365 * 24 * 3600)
    for older in ("/static/house.css", "/static/house.css?v=0123456789ab"):
        asked_again = client.get(older).cache_control
        assert asked_again.no_cache
        assert asked_again.max_age is None


def test_a_file_that_changes_is_read_anew_under_a_new_address(shared_app, files):
    folder, browser = files

    def sent():
        with shared_app.test_request_context():
            address = asset("sheet.css")
        return address, browser.get(address, headers=GZIP)

    first, again = sent(), sent()
    (folder / "sheet.css").write_text(LONG + "More.")
    changed = sent()
    assert first[0] == again[0] != changed[0]
    assert first[1].headers["ETag"] == again[1].headers["ETag"] != changed[1].headers["ETag"]
    assert gzip.decompress(changed[1].data).decode() == LONG + "More."


def test_a_file_is_read_and_packed_once(files, monkeypatch):
    _, browser = files
    browser.get("/static/sheet.css", headers=GZIP)
    read = []
    monkeypatch.setattr(Path, "read_bytes", read.append)
    assert browser.get("/static/sheet.css", headers=GZIP).status_code == 200
    assert read == []


@pytest.mark.parametrize("name", ["none.css", "vendor", "", "../app/__init__.py", "%2e%2e/README.md"])
def test_what_is_no_file_of_the_house_is_not_there(client, name):
    assert client.get(f"/static/{name}").status_code == 404
