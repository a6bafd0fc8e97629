"""This module sends tables as .csv, for use in other programs."""

import csv
import io
import re
from collections.abc import Iterable, Sequence
from typing import Any

from flask import make_response
from flask.wrappers import Response

_AMOUNT = re.compile(r"-[0-9]+(\.[0-9]+)?")


def csv_response(file: str, head: Sequence[str], rows: Iterable[Sequence[Any]]) -> Response:
    """Returns an answer with a table as .csv, in which a spreadsheet never reads a text as a formula."""
    table = io.StringIO()
    writer = csv.writer(table)
    writer.writerow(head)
    writer.writerows([_without_formula(cell) for cell in row] for row in rows)
    answer = make_response(table.getvalue())
    answer.mimetype = "text/csv"
    answer.headers["Content-Disposition"] = f'attachment; filename="{file}"'
    return answer


def _without_formula(cell: Any) -> Any:
    """Returns a cell as it is written: a text that looks like a formula begins with an apostrophe."""
    formula = isinstance(cell, str) and cell.startswith(("=", "+", "-", "@", "\t", "\r"))
    return f"'{cell}" if formula and not _AMOUNT.fullmatch(cell) else cell
