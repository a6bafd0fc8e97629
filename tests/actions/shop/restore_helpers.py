"""Looks into the files of shops, and changes of them, for the tests that restore a backup."""

from contextlib import closing

from app.actions.records.catalogue import load_catalogue
from app.store.inspection import connect
from tests.actions.builders import line, order_request, take


def take_order_in(database, key):
    with database.writing() as session:
        return take(session, order_request(load_catalogue(session), line(load_catalogue(session))), key=key).number


def numbers_in(file):
    with closing(connect(file)) as opened:
        return [number for (number,) in opened.execute("SELECT number FROM orders ORDER BY number")]


def run_sql(file, *statements):
    with closing(connect(file)) as opened:
        for statement in statements:
            opened.execute(statement)


def contents_of(folder):
    """Everything in a folder by name, with its content."""
    return {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()}
