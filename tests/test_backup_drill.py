"""The computer dies: from nothing but a backup, by the commands that the help names, the shop is there again."""

import shutil
import signal
import sqlite3
from contextlib import closing

import pytest

import seed_demo
from app.actions.shop.backups import USE_PG_DUMP
from tests.commands import APP, DEMO, TYPED, run_here
from tests.serving import get, running


@pytest.fixture
def shop(usual_shop_file, tmp_path):
    """The folder of a shop with one order, number 1001, in the file that its commands look for."""
    folder = tmp_path / "old computer"
    folder.mkdir()
    shutil.copy(usual_shop_file, folder / "stillaloft.sqlite")
    return folder


@pytest.fixture(scope="module")
def usual_shop_file(started):
    return started(_take_one)


def _take_one(database):
    from app.actions.records.catalogue import load_catalogue  # noqa: PLC0415  takes long to load
    from tests.actions.builders import line, order_request, take  # noqa: PLC0415

    with database.writing() as session:
        catalogue = load_catalogue(session)
        take(session, order_request(catalogue, line(catalogue)))


def _backups(folder):
    return sorted(folder.glob("stillaloft-*.sqlite"))


def test_the_drill(shop, tmp_path):
    """Backed up while it is served, which is the only file that is left."""
    stick, new = tmp_path / "stick", tmp_path / "new computer"
    new.mkdir()
    with running([*TYPED[APP], "serve"], shop / "log", by=signal.SIGKILL):
        status, said = run_here(APP, shop, "backup", str(stick))
        assert status == 0, said
        (backup,) = _backups(stick)
        assert str(backup) in said
        assert run_here(APP, shop, "restore", str(backup), "--yes")[0] == 1  # not while it is served
        assert not list(shop.glob("*before-restore*"))
    shutil.rmtree(shop)
    status, said = run_here(APP, new, "restore", str(backup))
    assert status == 0, said
    assert [path.name for path in new.iterdir()] == ["stillaloft.sqlite"]
    with running([*TYPED[APP], "serve"], new / "log") as port:
        status, board = get(port, "/bench.json?day=2026-11-21")
        assert status == 200
        assert '"order":1001' in board.replace(" ", "")
        assert get(port, "/counter/orders/1001")[0] == 200


def test_without_a_folder_it_is_made_beside_the_database(shop):
    status, _ = run_here(APP, shop, "backup")
    assert status == 0
    assert len(_backups(shop / "backups")) == 1


def test_the_environment_names_another_folder_and_the_command_line_comes_first(shop, tmp_path):
    elsewhere = str(tmp_path / "elsewhere")
    run_here(APP, shop, "backup", STILLALOFT_BACKUPS=elsewhere)
    run_here(APP, shop, "backup", str(tmp_path / "named"), STILLALOFT_BACKUPS=elsewhere)
    assert len(_backups(tmp_path / "elsewhere")) == len(_backups(tmp_path / "named")) == 1
    assert not (shop / "backups").exists()


def test_nobody_who_did_not_say_yes_loses_an_order(shop):
    run_here(APP, shop, "backup")
    (backup,) = _backups(shop / "backups")
    with closing(sqlite3.connect(shop / "stillaloft.sqlite")) as opened:
        opened.execute("UPDATE orders SET number = 1002")
        opened.commit()
    status, said = run_here(APP, shop, "restore", str(backup))
    assert status == 1
    assert "1002" in said
    assert "--yes" in said
    assert _number(shop) == 1002
    status, said = run_here(APP, shop, "restore", str(backup), "--yes")
    assert status == 0
    assert _number(shop) == 1001


def _number(shop):
    with closing(sqlite3.connect(shop / "stillaloft.sqlite")) as opened:
        return opened.execute("SELECT number FROM orders").fetchone()[0]


@pytest.mark.parametrize("words", [["backup"], ["restore", "any.sqlite"]])
def test_on_postgresql_a_sentence_names_its_own_tools(tmp_path, words):
    status, said = run_here(APP, tmp_path, *words, DATABASE_URL="postgresql://127.0.0.1:1/none")
    assert (status, said.strip()) == (1, USE_PG_DUMP)


@pytest.mark.parametrize("words", [["backup"], ["restore", "none.sqlite"]])
def test_without_a_file_there_is_a_sentence_and_nothing_is_made(tmp_path, words):
    status, said = run_here(APP, tmp_path, *words)
    assert status == 1
    assert "Traceback" not in said
    assert list(tmp_path.iterdir()) == []


def test_the_demos_backups_have_a_folder_of_their_own(tmp_path, monkeypatch):
    """Whatever folder the real shop's have."""
    served = []
    monkeypatch.setattr(seed_demo, "serve", lambda config, *_: served.append(config.backups))
    monkeypatch.setattr(seed_demo, "fill_shop", lambda *_: 0)
    run_here(DEMO, tmp_path, "--serve", STILLALOFT_BACKUPS=str(tmp_path / "backups"))
    assert served == [str(tmp_path / "demo-backups")]
