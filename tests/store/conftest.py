"""A throw-away PostgreSQL server, and one empty database of each sort."""

import os
import shutil
import signal
import subprocess
import tempfile
import time
from contextlib import contextmanager
from pathlib import Path
from uuid import uuid4

import pytest

from app.store.engine import Database
from tests.later import psycopg


def _programs():
    """The folder of PostgreSQL's programs, or None; Debian keeps them off the PATH."""
    found = shutil.which("postgres")
    folders = [Path(found).parent] if found else sorted(Path("/usr/lib/postgresql").glob("*/bin"))
    return folders[-1] if folders and (folders[-1] / "initdb").exists() else None


def _wait_until_ready(server, url, log):
    for _ in range(300):
        if server.poll() is not None:
            break
        try:
            psycopg.connect(url).close()
        except psycopg.OperationalError:
            time.sleep(0.1)
        else:
            return
    pytest.fail(f"The PostgreSQL server did not start:\n{log.read_text()}")


@pytest.fixture(scope="session")
def postgres_url():
    """The address of a server of this test process alone, reached through a socket in a folder of its own."""
    programs = _programs()
    if programs is None:
        reason = "PostgreSQL's programs initdb and postgres are not installed"
        pytest.fail(reason) if os.environ.get("CI") else pytest.skip(reason)
    # A socket's path may have about 100 characters; pytest's own folders are longer.
    with tempfile.TemporaryDirectory(prefix="aloft-") as name:
        folder = Path(name)
        owner = {}
        if os.geteuid() == 0:  # PostgreSQL refuses to run as root
            shutil.chown(folder, "postgres")
            owner = {"user": "postgres", "group": "postgres", "extra_groups": []}
        data, log = folder / "data", folder / "log"
        subprocess.run(
            [programs / "initdb", "-D", data, "-U", "aloft", "-A", "trust", "-E", "UTF8", "--locale=C", "-N"],
            check=True,
            capture_output=True,
            cwd=folder,
            **owner,
        )
        # Statements that are asked once take less time than to compile them.
        settings = ("listen_addresses=", f"unix_socket_directories={folder}", "fsync=off")
        options = [part for setting in settings for part in ("-c", setting)]
        with log.open("w") as output:
            server = subprocess.Popen(
                [programs / "postgres", "-D", data, *options], stderr=output, cwd=folder, **owner
            )
        url = f"postgresql://aloft@/postgres?host={folder}"
        try:
            _wait_until_ready(server, url, log)
            yield url
        finally:
            server.send_signal(signal.SIGINT)
            server.wait(30)


@contextmanager
def new_database(postgres_url, template="template1"):
    """The name of a PostgreSQL database, copied from the template, that is dropped when the block ends."""
    name = f"shop_{uuid4().hex}"
    with psycopg.connect(postgres_url, autocommit=True) as connection:
        connection.execute(f"CREATE DATABASE {name} TEMPLATE {template}")
        yield name
        connection.execute(f"DROP DATABASE {name} WITH (FORCE)")


def address_of(name, postgres_url):
    return postgres_url.replace("/postgres?", f"/{name}?")


@pytest.fixture
def postgres_database(postgres_url):
    """The address of an empty PostgreSQL database."""
    with new_database(postgres_url) as name:
        yield address_of(name, postgres_url)


@pytest.fixture
def sqlite_database(tmp_path):
    """The address of an SQLite file that is not there yet."""
    return f"sqlite:///{tmp_path / 'shop.db'}"


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.database)])
def store_url(request):
    """The address of an empty database of either sort."""
    fixture = {"sqlite": "sqlite_database", "postgresql": "postgres_database"}[request.param]
    return request.getfixturevalue(fixture)


@pytest.fixture
def open_store():
    """Opens databases, and closes their connections when the test ends."""
    opened = []

    def open_one(url):
        opened.append(Database(url))
        return opened[-1]

    yield open_one
    for database in opened:
        database.engine.dispose()


@pytest.fixture
def store(open_store, store_url):
    """An empty database of either sort."""
    return open_store(store_url)


@pytest.fixture
def sqlite_store(open_store, sqlite_database):
    """An empty SQLite database."""
    return open_store(sqlite_database)
