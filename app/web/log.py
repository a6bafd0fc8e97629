"""This module writes the program's log to stderr: times in UTC, the number of the request, and nothing that
somebody typed."""

import logging
import secrets
import sys
import traceback
from collections.abc import Iterator
from time import gmtime
from types import TracebackType
from typing import Any

from flask import g, has_app_context
from sqlalchemy.exc import DBAPIError

from app.store.sentences import error_code

LINE = "%(asctime)sZ %(levelname)s %(name)s [%(request)s] %(message)s"
NO_REQUEST = "-"
ExceptionInfo = tuple[type[BaseException], BaseException, TracebackType | None] | tuple[None, None, None]


def request_id() -> str:
    """Returns the number by which this request is found in the log; it is drawn when first asked for."""
    if "request_id" not in g:
        g.request_id = secrets.token_hex(4)
    return str(g.request_id)


class PlainFormatter(logging.Formatter):
    """A formatter that says where an error happened and of which kind it is. It leaves its message out, because
    that can hold what somebody typed."""

    converter = staticmethod(gmtime)

    def __init__(self) -> None:
        super().__init__(LINE, "%Y-%m-%dT%H:%M:%S")

    def format(self, record: logging.LogRecord) -> str:
        """Returns the line of a record, with the number of the request in which it was written."""
        record.request = request_id() if has_app_context() else NO_REQUEST
        record.exc_text = None  # another formatter may have left its own there
        return super().format(record)

    def formatException(self, ei: ExceptionInfo) -> str:
        """Returns the calls that led to an error, and to those that caused it."""
        return "\n".join(line for exc in _chain(ei[1]) for line in _described(exc))


def start_log() -> None:
    """Sends the log of this process to stderr: warnings and errors of every module."""
    handler = logging.StreamHandler(sys.stderr)
    handler.setFormatter(PlainFormatter())
    logging.basicConfig(handlers=[handler], level=logging.WARNING)


def describe_database_error(exc: DBAPIError) -> str:
    """Returns the kind of a database error, its code and the statement that failed, without the values in it."""
    code = error_code(exc) or "no code"
    return f"{type(exc).__name__} ({code}) in: {' '.join((exc.statement or 'no statement').split())}"


def _chain(exc: BaseException | None) -> Iterator[BaseException]:
    """Yields the error and those that led to it, the first one first."""
    found: list[BaseException] = []
    while exc is not None and exc not in found:
        found.append(exc)
        exc = exc.__cause__ or (None if exc.__suppress_context__ else exc.__context__)
    yield from reversed(found)


def _described(exc: BaseException) -> Iterator[str]:
    yield from (line.rstrip() for line in traceback.format_tb(exc.__traceback__))
    named: Any = describe_database_error(exc) if isinstance(exc, DBAPIError) else type(exc).__qualname__
    yield f"{type(exc).__module__}: {named}"
