"""From nothing to a served shop: the demo, an empty shop, and what the command line says when it cannot."""

import re
import shutil
import subprocess
import sys
from datetime import UTC, datetime, timedelta
from functools import cache
from zoneinfo import ZoneInfo

import pytest
from freezegun import freeze_time
from sqlalchemy import func, select

import seed_demo
from app.config import KNOWN
from app.planning.shoptime import local_day
from app.store.engine import Database
from app.store.models import Batch, Order, Tap
from tests.serving import PROJECT, environment, get, running

LONDON = ZoneInfo("Europe/London")
MOMENTS = [
    datetime(2026, 11, 21, 0, 30, tzinfo=UTC),
    datetime(2026, 11, 21, 6, 0, tzinfo=UTC),
    datetime(2026, 11, 21, 12, 0, tzinfo=UTC),
    datetime(2026, 11, 21, 23, 30, tzinfo=UTC),
    datetime(2026, 7, 4, 22, 59, 59, tzinfo=UTC),  # a second to midnight there
    datetime(2026, 7, 4, 23, 0, tzinfo=UTC),  # midnight there
    datetime(2026, 3, 28, 12, 0, tzinfo=UTC),  # the clocks go forward the night after
    datetime(2026, 3, 29, 0, 59, tzinfo=UTC),  # they do in a minute
    datetime(2026, 3, 29, 1, 0, tzinfo=UTC),
    datetime(2026, 10, 24, 22, 0, tzinfo=UTC),
    datetime(2026, 10, 25, 0, 30, tzinfo=UTC),  # 1:30 for the first time
    datetime(2026, 10, 25, 1, 30, tzinfo=UTC),  # and for the second
    datetime(2026, 12, 31, 23, 30, tzinfo=UTC),
    datetime(2028, 2, 29, 12, 0, tzinfo=UTC),
]


def _run(folder, *words, **changes):
    """A Python command in that folder: its exit status and everything it said."""
    ended = subprocess.run(
        [sys.executable, *words],
        cwd=folder,
        env=environment(**changes),
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    return ended.returncode, ended.stdout + ended.stderr


def _seed(folder, *words, **changes):
    return _run(folder, str(PROJECT / "seed_demo.py"), *words, **changes)


def _numbers(file):
    database = Database(f"sqlite:///{file}")
    with database.reading() as session:
        numbers = session.scalars(select(Order.number).order_by(Order.number)).all()
    database.engine.dispose()
    return numbers


def _refuses_with_a_sentence(status, said):
    assert status == 1
    assert "Traceback" not in said
    assert re.search(r"\.( \(\w+\))?$", said.strip()), said  # a code for the one who is asked may follow
    assert len(said.strip().splitlines()) == 1


def test_the_demo_fills_a_file_beside_nothing_else(tmp_path):
    status, said = _seed(tmp_path)
    assert (status, said) == (0, f"{len(seed_demo.DEMOS)} invented orders filled in.\n")
    assert [file.name for file in tmp_path.iterdir()] == ["demo.sqlite"]


def test_the_demo_run_twice_neither_duplicates_nor_destroys_orders(tmp_path):
    _seed(tmp_path)
    once = _numbers(tmp_path / "demo.sqlite")
    status, said = _seed(tmp_path)
    assert (status, said) == (0, "The shop has orders already: they stay as they are.\n")
    assert _numbers(tmp_path / "demo.sqlite") == once
    assert len(once) == len(seed_demo.DEMOS)


def test_a_reset_sets_the_old_file_aside_and_begins_anew(tmp_path):
    _seed(tmp_path)
    status, said = _seed(tmp_path, "--reset")
    assert (status, said) == (0, f"{len(seed_demo.DEMOS)} invented orders filled in.\n")
    assert len(_numbers(tmp_path / "demo.sqlite.before-reset")) == len(seed_demo.DEMOS)


def test_a_second_reset_keeps_what_the_first_set_aside(tmp_path):
    for _ in range(3):
        assert _seed(tmp_path, "--reset")[0] == 0
    assert len([file for file in tmp_path.iterdir() if file.suffix != ".sqlite"]) == 2


def test_the_demo_takes_the_database_that_the_environment_names(tmp_path):
    file = tmp_path / "elsewhere.db"
    assert _seed(tmp_path, DATABASE_URL=f"sqlite:///{file}")[0] == 0
    assert len(_numbers(file)) == len(seed_demo.DEMOS)
    assert not (tmp_path / "demo.sqlite").exists()


def test_a_database_that_is_no_sqlite_file_is_not_set_aside(tmp_path):
    status, said = _seed(tmp_path, "--reset", DATABASE_URL="postgresql://127.0.0.1:1/none")
    _refuses_with_a_sentence(status, said)
    assert "--reset only sets aside an SQLite file" in said


def test_the_demo_is_served_and_says_where_to_point_the_browser(tmp_path):
    log = tmp_path / "log"
    with running([str(PROJECT / "seed_demo.py"), "--serve"], log) as port:
        status, page = get(port, "/bench")
    assert status == 200
    assert "The Tethered Lark" in page
    assert f"Point the browser at http://127.0.0.1:{port}/" in log.read_text()
    assert log.read_text().endswith("Closed.\n")


@pytest.mark.parametrize("words", [(str(PROJECT / "seed_demo.py"), "--serve"), ("-m", "app", "serve")])
def test_a_taken_port_gets_a_sentence(tmp_path, words):
    with running(["-m", "app", "serve"], tmp_path / "log") as port:
        status, said = _run(tmp_path, *words, "--port", str(port))
    _refuses_with_a_sentence(status, said.splitlines()[-1])
    assert "Traceback" not in said
    assert f"Port {port} is taken" in said


@pytest.mark.parametrize("port", ["0", "65536", "eighty", "-1"])
def test_a_port_that_is_none_gets_a_sentence(tmp_path, port):
    status, said = _run(tmp_path, "-m", "app", "serve", f"--port={port}")
    assert status == 2
    assert f"{port} is not a port: 1 to 65535, please" in said


def test_an_empty_shop_is_served_by_its_own_command(tmp_path):
    with running(["-m", "app", "serve"], tmp_path / "log") as port:
        for path in ("/", "/counter/", "/bench", "/pickups/", "/office/", "/office/review"):
            assert get(port, path)[0] in (200, 302), path
        assert get(port, "/bench.json")[1].count('"key"') == 0
    assert _numbers(tmp_path / "stillaloft.sqlite") == []


def test_an_order_board_asked_for_under_a_strange_name_is_refused(tmp_path):
    with running(["-m", "app", "serve"], tmp_path / "log", STILLALOFT_HOSTS="shop.test") as port:
        assert get(port, "/bench", Host="shop.test")[0] == 200
        assert get(port, "/bench", Host="elsewhere.test")[0] == 400


@pytest.mark.parametrize(
    "words", [(str(PROJECT / "seed_demo.py"),), ("-m", "app", "serve"), ("-m", "app", "check")]
)
def test_a_setting_that_nobody_knows_gets_a_sentence(tmp_path, words):
    status, said = _run(tmp_path, *words, STILLALOFT_HOST="shop.test")
    _refuses_with_a_sentence(status, said)
    assert "STILLALOFT_HOST is not a setting" in said
    assert all(name in said for name in KNOWN)


@pytest.mark.parametrize("words", [("-m", "app", "check"), (str(PROJECT / "seed_demo.py"), "--reset")])
@pytest.mark.parametrize("url", ["shop.sqlite", "mysql://127.0.0.1/shop", "sqlite://"])
def test_a_database_url_that_names_none_gets_a_sentence(tmp_path, words, url):
    status, said = _run(tmp_path, *words, DATABASE_URL=url)
    _refuses_with_a_sentence(status, said)
    assert "DATABASE_URL" in said or "SQLite file" in said


def test_a_file_that_is_no_database_gets_a_sentence(tmp_path):
    (tmp_path / "stillaloft.sqlite").write_text("a shopping list " * 100)
    status, said = _run(tmp_path, "-m", "app", "check")
    _refuses_with_a_sentence(status, said)


def test_a_folder_that_is_not_there_gets_a_sentence(tmp_path):
    status, said = _run(tmp_path, "-m", "app", "check", DATABASE_URL=f"sqlite:///{tmp_path}/none/shop.sqlite")
    _refuses_with_a_sentence(status, said)


def test_a_sound_database_is_told_so(tmp_path):
    url = f"sqlite:///{tmp_path / 'demo.sqlite'}"
    _seed(tmp_path)
    status, said = _run(tmp_path, "-m", "app", "check", DATABASE_URL=url)
    assert status == 0
    assert said.startswith("Sound: SQLite 3.")
    assert said.endswith("as this program expects.\n")


def test_looking_a_database_over_makes_none(tmp_path):
    status, said = _run(tmp_path, "-m", "app", "check")
    _refuses_with_a_sentence(status, said)
    assert list(tmp_path.iterdir()) == []


@pytest.fixture(scope="module")
def demo_file(shop_file, tmp_path_factory):
    """The file of a shop filled as at a moment: filled once, copied for each test."""

    @cache
    def fill(moment):
        file = shutil.copy(shop_file, tmp_path_factory.mktemp("demo") / "demo.sqlite")
        database = Database(f"sqlite:///{file}")
        with database.writing() as session:
            assert seed_demo.fill_shop(session, moment) == len(seed_demo.DEMOS)
        database.engine.dispose()
        return file

    return fill


@pytest.fixture
def filled(database, demo_file):
    """Puts a shop filled as at a moment in the database's place and gives its local date."""

    def fill(moment):
        shutil.copy(demo_file(moment), database.engine.url.database)
        return local_day(moment, LONDON)

    return fill


def _days(database):
    with database.reading() as session:
        return {local_day(moment, LONDON) for moment in session.scalars(select(Batch.inflate_by))}


@pytest.mark.parametrize("moment", MOMENTS, ids=str)
def test_the_demo_has_batches_for_yesterday_today_and_tomorrow(database, filled, moment):
    today = filled(moment)
    day = timedelta(days=1)
    assert {today - day, today, today + day} <= _days(database)


@pytest.mark.parametrize("moment", MOMENTS, ids=str)
def test_nothing_in_the_demo_was_done_in_the_future(database, filled, moment):
    filled(moment)
    with database.reading() as session:
        assert session.scalar(select(func.max(Tap.at))) <= moment
        assert session.scalar(select(func.max(Order.taken_at))) <= moment


@pytest.mark.parametrize("moment", MOMENTS, ids=str)
def test_yesterdays_orders_of_the_demo_are_all_handed_over(database, filled, moment):
    today = filled(moment)
    with database.reading() as session:
        leaving = session.execute(select(Order.ready_by, Order.state)).all()
    yesterdays = [state for ready_by, state in leaving if local_day(ready_by, LONDON) < today]
    assert yesterdays == ["handed over"] * sum(demo.day < 0 for demo in seed_demo.DEMOS)


@pytest.mark.parametrize("moment", MOMENTS, ids=str)
def test_every_page_of_the_demo_can_be_shown_at_that_moment(build_app, database, filled, moment):
    today = filled(moment)
    with freeze_time(moment):
        client = build_app(database.engine.url).test_client()
        for path in (
            "/bench",
            f"/bench?day={today + timedelta(days=1)}",
            "/pickups/",
            "/office/review",
            "/counter/",
        ):
            assert client.get(path).status_code == 200, path


def test_the_demo_leaves_a_shop_with_orders_alone(database, session):
    assert seed_demo.fill_shop(session, MOMENTS[0]) == len(seed_demo.DEMOS)
    assert seed_demo.fill_shop(session, MOMENTS[1]) == 0


def test_the_demos_phone_numbers_are_ones_kept_for_fiction():
    """Ofcom keeps 01632 960000 to 960999 for drama."""
    assert all(demo.phone.startswith("01632 960") for demo in seed_demo.DEMOS)
