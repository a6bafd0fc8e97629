"""This module reads tables from .csv files as spreadsheets write them."""

import csv
import io
from dataclasses import dataclass, replace

FORMULA_SIGNS = ("=", "+", "-", "@", "\t", "\r")
NOT_UTF8 = "The file is not in UTF-8. Save it as “CSV UTF-8” and choose it again."
NO_TABLE = "The file is not a table that can be read. Save it as “CSV UTF-8” and choose it again."
SPREADSHEET = "This is a spreadsheet file, not CSV. Open it, save it as “CSV UTF-8”, and choose that file."
SPREADSHEET_BEGINS = (b"PK\x03\x04", b"\xd0\xcf\x11\xe0")
MARKS = (",", ";", "\t")


@dataclass(frozen=True, slots=True)
class TableRow:
    """A row of a table. line: where it begins in the file, counted from 1."""

    line: int
    cells: tuple[str, ...]


def read_table(data: bytes) -> tuple[tuple[str, ...], list[TableRow]]:
    """Returns the head of a table and its rows; rows without any text are left out. Raises ValueError with a
    sentence.

    The mark between cells is what the first line has most of, or what a first line such as “sep=;” names. Columns
    at the end that have neither a heading nor any text are left out.
    """
    if data.startswith(SPREADSHEET_BEGINS):
        raise ValueError(SPREADSHEET)
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise ValueError(NOT_UTF8) from None
    lines = text.splitlines()
    if "\0" in text or not lines:
        raise ValueError(NO_TABLE)
    named = lines[0].removeprefix("sep=") if lines[0].startswith("sep=") else ""
    mark = named if named in MARKS else max(MARKS, key=lines[0].count)
    filled = [row for row in _rows(text, mark) if any(cell.strip() for cell in row.cells)][1 if named else 0 :]
    if not filled:
        raise ValueError(NO_TABLE)
    head = _trimmed(filled[0].cells)
    return head, [replace(row, cells=_trimmed(row.cells, len(head))) for row in filled[1:]]


def _trimmed(cells: tuple[str, ...], least: int = 0) -> tuple[str, ...]:
    """Returns the cells without blank ones at the end, of which the first `least` stay."""
    width = max((place for place, cell in enumerate(cells, 1) if cell.strip()), default=0)
    return cells[: max(width, least)]


def _rows(text: str, mark: str) -> list[TableRow]:
    """Returns all rows of a text. Raises ValueError with a sentence."""
    reader, rows, line = csv.reader(io.StringIO(text, newline=""), delimiter=mark, strict=True), [], 1
    try:
        for cells in reader:
            rows.append(TableRow(line, tuple(_without_guard(cell) for cell in cells)))
            line = reader.line_num + 1
    except csv.Error:
        raise ValueError(NO_TABLE) from None
    return rows


def _without_guard(cell: str) -> str:
    """Returns a cell without the apostrophe that keeps a spreadsheet from reading a text as a formula."""
    return cell[1:] if cell.startswith("'") and cell[1:].startswith(FORMULA_SIGNS) else cell
