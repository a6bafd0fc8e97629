"""A shop behind its own command, in a process of its own, on a free port of this machine."""

import http.client
import os
import signal
import socket
import subprocess
import sys
import time
from contextlib import contextmanager
from pathlib import Path

PROJECT = Path(__file__).resolve().parents[1]
SECONDS_TO_OPEN = 30
TRIES = 3
"""Another process may take a free port before the server does."""
OPEN = "Stillaloft is running."


def free_port():
    with socket.create_server(("127.0.0.1", 0)) as taken:
        return taken.getsockname()[1]


def environment(**changes):
    """This process's environment without the settings of a shop, and with the project to import from."""
    saved = {name: value for name, value in os.environ.items() if not name.startswith("STILLALOFT_")}
    saved.pop("DATABASE_URL", None)
    return saved | {"PYTHONPATH": str(PROJECT), "PYTHONUNBUFFERED": "1"} | changes


def _opens(server, log):
    """Whether the server says that it is running; not when it ended, as on a port that was just taken."""
    for _ in range(SECONDS_TO_OPEN * 20):
        if OPEN in log.read_text():
            return True
        if server.poll() is not None:
            return False
        time.sleep(0.05)
    return False


@contextmanager
def _interrupts_heard():
    """A command started in the background ignores Ctrl+C, and so does all that it starts, unless told otherwise."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    signal.signal(signal.SIGINT, before)


def start(words, port, log, changes):
    """A process of a Python command on that port, in the folder of its log."""
    with log.open("w") as output, _interrupts_heard():
        return subprocess.Popen(
            [sys.executable, *words, "--port", str(port)],
            stdout=output,
            stderr=subprocess.STDOUT,
            cwd=log.parent,
            env=environment(**changes),
        )


def _end(server, by):
    if server.poll() is None:
        server.send_signal(by)
    server.wait(10)


@contextmanager
def running(words, log, by=signal.SIGTERM, **changes):
    """The port of a Python command that serves until the block ends it by that signal; what it says goes to the
    log."""
    for _ in range(TRIES):
        port = free_port()
        server = start(words, port, log, changes)
        try:
            if _opens(server, log):
                yield port
                return
        finally:
            _end(server, by)
    raise AssertionError(f"The server did not open:\n{log.read_text()}")


def get(port, path, **headers):
    """Status and text of an answer."""
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=10)
    try:
        connection.request("GET", path, headers=headers)
        answer = connection.getresponse()
        return answer.status, answer.read().decode()
    finally:
        connection.close()
