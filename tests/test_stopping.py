"""How the server stops: what is under way is answered and saved, nothing new is taken, and nothing is left."""

import http.client
import re
import signal
import socket
import time

import pytest

from app.serving import STOPPED
from tests.commands import APP, run_here
from tests.conftest import open_unsafely
from tests.serving import SECONDS_TO_OPEN, free_port, start

SLOW_SERVER = """
import sys
import time
import app.serving as serving
from app.store.models import StaffMember
from app.web.requests import request_context

real = serving.create_app

def create_with_slow_page(config):
    app = real(config)
    app.config["WTF_CSRF_ENABLED"] = False

    @app.post("/slow")
    def slow():
        print("under way", flush=True)
        time.sleep(1.5)
        request_context().session.add(StaffMember(name="Saved Late"))
        return "x" * 300_000

    return app

serving.create_app = create_with_slow_page
from app.__main__ import main
main(["serve", *sys.argv[1:]])
"""


def _until(log, words):
    for _ in range(SECONDS_TO_OPEN * 20):
        if words in log.read_text():
            return
        time.sleep(0.05)
    pytest.fail(f"It never said “{words}”:\n{log.read_text()}")


@pytest.fixture
def server(tmp_path):
    """A server with a page that takes long, its port and its log."""
    port, log = free_port(), tmp_path / "log"
    process = start(["-c", SLOW_SERVER], port, log, {})
    _until(log, "running")
    yield process, port, log
    if process.poll() is None:
        process.kill()
    process.wait(10)


def _staff(folder):
    database = open_unsafely(folder / "stillaloft.sqlite")
    with database.reading() as session:
        found = session.connection().exec_driver_sql("SELECT name FROM staff_member").scalars().all()
    database.engine.dispose()
    return found


def test_a_second_ctrl_c_ends_it_as_calmly(server):
    process, port, log = server
    slow = http.client.HTTPConnection("127.0.0.1", port, timeout=20)
    slow.request("POST", "/slow")
    _until(log, "under way")
    process.send_signal(signal.SIGINT)
    time.sleep(0.3)
    process.send_signal(signal.SIGINT)
    assert process.wait(20) == 0
    slow.close()
    assert log.read_text().endswith(f"{STOPPED}\n")
    assert "Traceback" not in log.read_text()


def test_a_request_under_way_is_answered_and_saved_no_new_one_is_taken_and_nothing_is_left(server, tmp_path):
    process, port, log = server
    slow = http.client.HTTPConnection("127.0.0.1", port, timeout=20)
    slow.request("POST", "/slow")
    _until(log, "under way")
    process.send_signal(signal.SIGTERM)
    time.sleep(0.7)
    with pytest.raises(ConnectionRefusedError):
        socket.create_connection(("127.0.0.1", port), timeout=5).close()
    answer = slow.getresponse()
    assert (answer.status, len(answer.read())) == (200, 300_000)
    slow.close()
    assert process.wait(20) == 0
    left = {file.name for file in tmp_path.iterdir()} - {"backups"}
    assert left == {"stillaloft.sqlite", "log"}  # no -wal, no lock
    assert _staff(tmp_path) == ["Saved Late"]
    assert "Traceback" not in log.read_text()


def _expect_no_wait_for_an_idle_connection(process, port):
    with socket.create_connection(("127.0.0.1", port)):
        time.sleep(0.2)
        begun = time.monotonic()
        process.send_signal(signal.SIGTERM)
        assert process.wait(20) == 0
        assert time.monotonic() - begun < 8


def test_a_second_server_on_the_file_is_refused_and_the_first_goes_on_until_it_is_stopped(server, tmp_path):
    process, port, _ = server
    second_log = tmp_path / "second"
    second = start(["-m", "app", "serve"], free_port(), second_log, {})
    assert second.wait(30) == 1
    said = second_log.read_text()
    assert len(said.splitlines()) == 1
    assert f"process {process.pid}" in said
    assert re.search(rf"http://127\.0\.0\.1:{port}/", said)
    assert run_here(APP, tmp_path, "check")[0] == 0
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=10)
    connection.request("GET", "/health.json")
    assert connection.getresponse().status == 200
    connection.close()
    _expect_no_wait_for_an_idle_connection(process, port)
