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


def free_port():
    with socket.create_server(("127.0.0.1", 0)) as taken:
        return taken.getsockname()[1]


def environment(**changes):
    """This process's environment without the settings of a shop, and with the project to import from."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith("STILLALOFT_")}
    kept.pop("DATABASE_URL", None)
    return kept | {"PYTHONPATH": str(PROJECT), "PYTHONUNBUFFERED": "1"} | changes


def wait_until_open(server, port, log):
    for _ in range(SECONDS_TO_OPEN * 20):
        if server.poll() is not None:
            break
        try:
            socket.create_connection(("127.0.0.1", port), timeout=1).close()
        except OSError:
            time.sleep(0.05)
        else:
            return
    raise AssertionError(f"The server did not open:\n{log.read_text()}")


@contextmanager
def running(words, port, log, **changes):
    """A Python command that serves on that port, until the block ends; what it says goes to the log."""
    with log.open("w") as output:
        server = subprocess.Popen(
            [sys.executable, *words, "--port", str(port)],
            stdout=output,
            stderr=subprocess.STDOUT,
            cwd=log.parent,
            env=environment(**changes),
        )
    try:
        wait_until_open(server, port, log)
        yield server
    finally:
        if server.poll() is None:
            server.send_signal(signal.SIGINT)
        server.wait(10)


def get(port, path, **headers):
    """Status and text of an answer."""
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=10)
    try:
        connection.request("GET", path, headers=headers)
        answer = connection.getresponse()
        return answer.status, answer.read().decode()
    finally:
        connection.close()
