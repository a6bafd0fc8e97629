"""Connections that stay open to a shop, or to an empty page, in a process of its own."""

import http.client
import shutil
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta

from app.store.engine import Database
from tests.serving import running

HELLO = """
import sys
from flask import Flask
from waitress import create_server

app = Flask(__name__)
app.add_url_rule("/", "hello", lambda: "hello")
server = create_server(app, host="127.0.0.1", port=int(sys.argv[-1]), threads=8)
print("Stillaloft is running.", flush=True)
server.run()
"""


class Line:
    """One connection that stays open. received: the bytes of the last answer, as they came."""

    def __init__(self, port):
        self.connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
        self.cookie = ""
        self.received = 0

    def ask(self, path, expected=200, body=None, **headers):
        """The text of an answer, once its status was looked at, so that no error page is ever timed."""
        answer, content = self.answer(path, body, headers)
        assert answer.status == expected, content[:500]
        return content.decode()

    def size(self, path, **headers):
        """The bytes of an answer to a browser that takes it compressed."""
        return len(self.answer(path, None, {"Accept-Encoding": "gzip, deflate", **headers})[1])

    def answer(self, path, body, headers):
        if self.cookie:
            headers["Cookie"] = self.cookie
        if body is not None:
            headers["Content-Type"] = "application/x-www-form-urlencoded"
        method = "POST" if body is not None else "GET"
        try:
            answer = self._send(method, path, body, headers)
        except http.client.RemoteDisconnected:  # it was idle for too long
            answer = self._send(method, path, body, headers)
        content = answer.read()
        if given := answer.getheader("Set-Cookie"):
            self.cookie = given.partition(";")[0]
        return answer, content

    def _send(self, method, path, body, headers):
        self.connection.request(method, path, body=body, headers=headers)
        return self.connection.getresponse()


@contextmanager
def line_to(port):
    line = Line(port)
    try:
        yield line
    finally:
        line.connection.close()


@contextmanager
def empty_page(folder):
    """A line to a page that says hello, from the same server as a shop's."""
    (folder / "hello.py").write_text(HELLO)
    with running(["hello.py"], folder / "log") as port, line_to(port) as line:
        yield line


def filled(shop_file, folder, fill):
    """The file of a shop that was filled. fill: is given a session that writes."""
    file = shutil.copy(shop_file, folder / "shop.sqlite")
    database = Database(f"sqlite:///{file}")
    with database.writing() as session:
        fill(session)
    database.engine.dispose()
    return file


@contextmanager
def served(shop_file, folder, fill=lambda session: None):
    """The port of a shop that was filled first."""
    file = filled(shop_file, folder, fill)
    with running(["-m", "app", "serve"], folder / "log", DATABASE_URL=f"sqlite:///{file}") as port:
        yield port


def tomorrow_noon():
    return (datetime.now(UTC) + timedelta(days=1)).replace(hour=12, minute=0, second=0, microsecond=0)
