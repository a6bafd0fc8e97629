"""This module sends tables as .csv, for use in other programs."""

import csv
import io
import re
from collections.abc import Iterable, Iterator, Sequence
from itertools import chain
from typing import Any

from flask import make_response
from flask.wrappers import Response

MARK = "\ufeff"
"""Says at the beginning of a file that it is UTF-8; without it, some spreadsheets spoil accents."""
_AMOUNT = re.compile(r"-[0-9]+(\.[0-9]+)?")


def csv_response(file: str, head: Sequence[str], rows: Iterable[Sequence[Any]]) -> Response:
    """Returns an answer with a table as .csv, in which a spreadsheet never reads a text as a formula."""
    return _as_file(make_response("".join(_written([[head], rows]))), file)


def csv_stream(file: str, head: Sequence[str], pages: Iterable[Iterable[Sequence[Any]]]) -> Response:
    """Returns the same as an answer that is sent page by page, for a table that may be long. The pages are read
    after the session of the request has closed."""
    return _as_file(Response(_written(chain([[head]], pages))), file)


def _written(pages: Iterable[Iterable[Sequence[Any]]]) -> Iterator[str]:
    """Yields a table, a page of rows at a time."""
    yield MARK
    for page in pages:
        table = io.StringIO()
        csv.writer(table).writerows([_without_formula(cell) for cell in row] for row in page)
        yield table.getvalue()


def _as_file(answer: Response, file: str) -> Response:
    answer.mimetype = "text/csv"
    answer.headers["Content-Disposition"] = f'attachment; filename="{file}"'
    return answer


def _without_formula(cell: Any) -> Any:
    """Returns a cell as it is written: a text that looks like a formula begins with an apostrophe."""
    formula = isinstance(cell, str) and cell.startswith(("=", "+", "-", "@", "\t", "\r"))
    return f"'{cell}" if formula and not _AMOUNT.fullmatch(cell) else cell
