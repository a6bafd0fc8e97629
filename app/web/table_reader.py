"""This module reads tables from .csv files as spreadsheets write them."""

import csv
import io
from dataclasses import dataclass

FORMULA_SIGNS = ("=", "+", "-", "@", "\t", "\r")
NOT_UTF8 = "The file is not in UTF-8. Save it as “CSV UTF-8” and choose it again."
NO_TABLE = "The file is not a table that can be read. Save it as “CSV UTF-8” and choose it again."
MARKS = (",", ";", "\t")


@dataclass(frozen=True, slots=True)
class TableRow:
    """A row of a table. line: where it begins in the file, counted from 1."""

    line: int
    cells: tuple[str, ...]


def read_table(data: bytes) -> tuple[tuple[str, ...], list[TableRow]]:
    """Returns the head of a table and its rows; rows without any text are left out. The mark between cells is what
    the first line has most of. Raises ValueError with a sentence."""
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise ValueError(NOT_UTF8) from None
    lines = text.splitlines()
    if "\0" in text or not lines:
        raise ValueError(NO_TABLE)
    mark = max(MARKS, key=lines[0].count)
    reader, rows, line = csv.reader(io.StringIO(text, newline=""), delimiter=mark, strict=True), [], 1
    try:
        for cells in reader:
            rows.append(TableRow(line, tuple(_without_guard(cell) for cell in cells)))
            line = reader.line_num + 1
    except csv.Error:
        raise ValueError(NO_TABLE) from None
    filled = [row for row in rows if any(cell.strip() for cell in row.cells)]
    if not filled:
        raise ValueError(NO_TABLE)
    return filled[0].cells, filled[1:]


def _without_guard(cell: str) -> str:
    """Returns a cell without the apostrophe that keeps a spreadsheet from reading a text as a formula."""
    return cell[1:] if cell.startswith("'") and cell[1:].startswith(FORMULA_SIGNS) else cell
