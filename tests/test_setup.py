"""From nothing to a served shop, and what the command line says when it cannot."""

import re
import shutil
import signal

import pytest

import seed_demo
from app.config import KNOWN_SETTINGS
from app.serving import STOPPED
from app.store.migrate import NO_FILE_TO_MOVE
from app.store.models import Order
from tests.commands import APP, DEMO, TYPED, run_apart, run_here
from tests.conftest import open_unsafely
from tests.serving import get, running


def _refuses_with_a_sentence(status, said):
    assert status == 1
    assert "Traceback" not in said
    assert re.search(r"\.( \(\w+\))?$", said.strip()), said  # a code for the one who is asked may follow
    assert len(said.strip().splitlines()) == 1


def test_a_database_that_is_no_sqlite_file_is_not_set_aside(tmp_path):
    status, said = run_here(DEMO, tmp_path, "--reset", DATABASE_URL="postgresql://127.0.0.1:1/none")
    _refuses_with_a_sentence(status, said)
    assert said.strip() == NO_FILE_TO_MOVE


def test_the_demo_is_served_and_says_its_address(tmp_path):
    """Until Ctrl+C closes it."""
    log = tmp_path / "log"
    with running([*TYPED[DEMO], "--serve", "--days", "0"], log, by=signal.SIGINT) as port:
        status, page = get(port, "/bench")
    assert status == 200
    assert seed_demo.SHOP["name"] in page
    assert f"http://127.0.0.1:{port}/" in log.read_text()
    assert log.read_text().endswith(f"{STOPPED}\n")


@pytest.fixture(scope="module")
def empty_shop(tmp_path_factory):
    """Folder and port of a new shop behind its own command, which nobody writes in, until SIGTERM closes it."""
    folder = tmp_path_factory.mktemp("empty")
    with running([*TYPED[APP], "serve"], folder / "log", STILLALOFT_HOSTS="shop.test") as port:
        yield folder, port
    assert (folder / "log").read_text().endswith(f"{STOPPED}\n")


@pytest.mark.parametrize(("main", "words"), [(DEMO, ["--serve"]), (APP, ["serve"])])
def test_a_taken_port_gets_a_sentence(tmp_path, demo_file, empty_shop, main, words):
    """By each command as it is typed, in a process of its own."""
    shutil.copy(demo_file, tmp_path)
    _, port = empty_shop
    status, said = run_apart(main, tmp_path, *words, "--port", str(port))
    _refuses_with_a_sentence(status, said.splitlines()[-1])
    assert "Traceback" not in said
    assert f"--port {port + 1}" in said


@pytest.mark.parametrize("port", ["0", "65536", "eighty", "http", "-1", "8000.5"])
def test_a_port_that_is_none_gets_a_sentence(tmp_path, port):
    status, said = run_here(APP, tmp_path, "serve", f"--port={port}")
    assert status == 2
    assert f"1 to 65535, not {port}" in said
    assert "Traceback" not in said


def test_an_empty_shop_is_served_by_its_own_command(empty_shop):
    folder, port = empty_shop
    for path in ("/", "/counter/", "/bench", "/pickups/", "/office/", "/office/review"):
        assert get(port, path)[0] in (200, 302, 303), path
    assert get(port, "/bench.json")[1].count('"key"') == 0
    database = open_unsafely(folder / "stillaloft.sqlite")
    with database.reading() as session:
        assert session.query(Order).count() == 0
    database.engine.dispose()


def test_an_order_board_asked_for_under_a_strange_name_is_refused(empty_shop):
    _, port = empty_shop
    assert get(port, "/bench", Host="shop.test")[0] == 200
    assert get(port, "/bench", Host="elsewhere.test")[0] == 400


@pytest.mark.parametrize(("main", "words"), [(DEMO, []), (APP, ["serve"]), (APP, ["check"])])
def test_a_setting_that_nobody_knows_gets_a_sentence(tmp_path, main, words):
    status, said = run_here(main, tmp_path, *words, STILLALOFT_HOST="shop.test")
    _refuses_with_a_sentence(status, said)
    assert said.startswith("STILLALOFT_HOST ")
    assert all(name in said for name in KNOWN_SETTINGS)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(("main", "word"), [(APP, "check"), (DEMO, "--reset")])
@pytest.mark.parametrize("url", ["shop.sqlite", "mysql://127.0.0.1/shop", "sqlite://"])
def test_a_database_url_that_names_none_gets_a_sentence(tmp_path, main, word, url):
    status, said = run_here(main, tmp_path, word, DATABASE_URL=url)
    _refuses_with_a_sentence(status, said)
    assert "DATABASE_URL" in said or NO_FILE_TO_MOVE in said


def test_a_file_that_is_no_database_gets_a_sentence(tmp_path):
    (tmp_path / "stillaloft.sqlite").write_text("a shopping list " * 100)
    status, said = run_here(APP, tmp_path, "check")
    _refuses_with_a_sentence(status, said)


def test_a_folder_that_is_not_there_gets_a_sentence(tmp_path):
    status, said = run_here(APP, tmp_path, "check", DATABASE_URL=f"sqlite:///{tmp_path}/none/shop.sqlite")
    _refuses_with_a_sentence(status, said)


def test_looking_a_database_over_makes_none(tmp_path):
    status, said = run_here(APP, tmp_path, "check")
    _refuses_with_a_sentence(status, said)
    assert list(tmp_path.iterdir()) == []
