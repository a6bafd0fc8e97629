"""One server for one file: the second one is told who has it, and a crash leaves no lock behind."""

import json
import os
import signal
import subprocess
import sys
from contextlib import contextmanager
from pathlib import Path

import pytest

from app.serving import check_database, prepare_database
from app.store.lock import hold_database
from app.store.sentences import StoreUnusable
from tests.serving import PROJECT

HOLD = """
import sys
from app.store.lock import hold_database
with hold_database(sys.argv[1], sys.argv[2]):
    print("held", flush=True)
    sys.stdin.read()
"""
ADDRESS = "http://127.0.0.1:8123/"


@contextmanager
def _holder(url, address=ADDRESS):
    """A process of its own that holds the lock until its input ends."""
    command = [sys.executable, "-c", HOLD, url, address]
    with subprocess.Popen(
        command, cwd=PROJECT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as process:
        assert process.stdout.readline() == "held\n"
        try:
            yield process
        finally:
            process.stdin.close()


def test_the_second_is_refused_and_told_process_and_address_and_may_check_the_file(sqlite_database):
    prepare_database(sqlite_database).close()
    with _holder(sqlite_database) as holder:
        assert check_database(sqlite_database)
        with pytest.raises(StoreUnusable) as refusal, hold_database(sqlite_database, "http://127.0.0.1:9/"):
            pass
        for said in ("shop.db ", f"process {holder.pid}", ADDRESS):
            assert said in refusal.value.sentence
    with hold_database(sqlite_database, ADDRESS):
        pass


def test_one_that_serves_no_pages_is_named_without_an_address(sqlite_database):
    with _holder(sqlite_database, "") as holder:
        with pytest.raises(StoreUnusable) as refusal, hold_database(sqlite_database, ADDRESS):
            pass
        assert f"process {holder.pid}" in refusal.value.sentence
        assert "http" not in refusal.value.sentence


def test_a_killed_server_leaves_a_file_but_no_lock(sqlite_database, tmp_path):
    with _holder(sqlite_database) as holder:
        holder.send_signal(signal.SIGKILL)
        holder.wait(10)
    assert json.loads((tmp_path / "shop.db.lock").read_text())["process"] == holder.pid
    with hold_database(sqlite_database, ADDRESS):
        assert json.loads((tmp_path / "shop.db.lock").read_text()) == {"process": os.getpid(), "address": ADDRESS}


def test_another_name_of_the_same_file_is_the_same_file(sqlite_database, tmp_path):
    (tmp_path / "shop.db").touch()
    (tmp_path / "also.db").symlink_to(tmp_path / "shop.db")
    with (
        hold_database(sqlite_database, ADDRESS),
        pytest.raises(StoreUnusable),
        hold_database(f"sqlite:///{tmp_path / 'also.db'}", ADDRESS),
    ):
        pass


def test_another_file_beside_it_is_free(sqlite_database, tmp_path):
    with hold_database(sqlite_database, ADDRESS), hold_database(f"sqlite:///{tmp_path / 'other.db'}", ADDRESS):
        pass


def test_a_holder_that_has_not_said_who_it_is_refuses_all_the_same(sqlite_database, tmp_path):
    with hold_database(sqlite_database, ADDRESS):
        (tmp_path / "shop.db.lock").write_text("")
        with pytest.raises(StoreUnusable, match=r"shop\.db"), hold_database(sqlite_database, ADDRESS):
            pass


def test_a_folder_that_is_not_there_gets_a_sentence(tmp_path):
    with pytest.raises(StoreUnusable), hold_database(f"sqlite:///{tmp_path}/none/shop.db", ADDRESS):
        pass
    assert list(tmp_path.iterdir()) == []


def test_a_disk_without_locks_gets_a_sentence(sqlite_database, monkeypatch):
    def no_locks(_opened):
        raise OSError(95, "Operation not supported")

    monkeypatch.setattr("app.store.lock._lock", no_locks)
    with pytest.raises(StoreUnusable), hold_database(sqlite_database, ADDRESS):
        pass


def test_a_database_on_a_server_has_no_lock_file(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    with hold_database("postgresql://aloft@/shop", ADDRESS):
        assert list(Path().iterdir()) == []
