"""Office: a price list as .csv, and what a file of prices would change."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from flask import request
from flask.wrappers import Response
from werkzeug.datastructures import MultiDict
from wtforms import FileField

from app.places.office.price_list import PriceList
from app.web.forms import ShopForm
from app.web.table_reader import TableRow, read_table
from app.web.tables import csv_response

NUMBER = "Number"
MOST_BYTES = 1_000_000
NO_FILE = "Choose a .csv file."
TOO_LARGE = "The file is larger than 1 MB. Choose the list of prices that you downloaded here."
NO_NUMBERS = "The first line has no column “Number”. Download the list here, change it, and choose that file."
UNKNOWN_COLUMN = "The column “{name}” is not known. Remove it, or name it as in the list that you download here."
COLUMN_TWICE = "The column “{name}” stands there twice."
NO_SUCH_NUMBER = "No {goods} that is offered has the number “{number}”."
OTHER_NAME = "Number {number} is {name} here, not “{typed}”."
NUMBER_TWICE = "Number {number} stands in line {line} already."
WRONG_CELL = "{label} “{typed}”: {sentence}"
HAS_NONE = "{label}: {name} has none. Leave the cell blank."
TOO_MANY_CELLS = "This row has more cells than the first line."


@dataclass(frozen=True, slots=True)
class ChangedCell:
    """A price that the file changes. target: the id of its field."""

    label: str
    was: str
    now: str
    target: str


@dataclass(frozen=True, slots=True)
class ChangedRow:
    """A row of the file that changes prices."""

    line: int
    name: str
    cells: tuple[ChangedCell, ...]


@dataclass(frozen=True, slots=True)
class RefusedRow:
    """A row of the file that is left out, and why."""

    line: int
    sentences: tuple[str, ...]


@dataclass(slots=True)
class Preview:
    """What a file would change. texts: what it puts into the fields, by their name. same: how many rows are as
    saved. missing: the columns that the file does not have."""

    changed: list[ChangedRow] = field(default_factory=list)
    refused: list[RefusedRow] = field(default_factory=list)
    same: int = 0
    texts: dict[str, str] = field(default_factory=dict)
    missing: tuple[str, ...] = ()


class PriceFileForm(ShopForm):
    """The form with which a file of prices is sent."""

    file = FileField("Prices from a file (CSV)")

    def read_file(self) -> bytes:
        """Returns what was sent. Raises ValueError with a sentence."""
        sent = request.files.get("file")
        data = sent.read(MOST_BYTES + 1) if sent else b""
        if not data:
            raise ValueError(NO_FILE)
        if len(data) > MOST_BYTES:
            raise ValueError(TOO_LARGE)
        return data

    def refuse(self, sentence: str) -> None:
        """Says at the field why the file is refused."""
        self.file.errors = [sentence]


def price_csv(prices: PriceList, forms: Sequence[Any]) -> Response:
    """Returns the price list as a table: each price as it is typed, and what follows from it."""
    return csv_response(f"{prices.path}-prices.csv", _head(prices), _rows(prices, forms))


def _head(prices: PriceList) -> list[str]:
    head = [NUMBER, prices.goods_label]
    for name, label in prices.columns.items():
        head += [label, *([prices.calculated[name]] if name in prices.calculated else [])]
    return head


def _rows(prices: PriceList, forms: Sequence[Any]) -> Iterator[list[object]]:
    for form in forms:
        calculated = prices.calculate(form.goods)
        row: list[object] = [form.goods.id, form.goods.name]
        for name in prices.columns:
            row.append(form[name].text if form.uses_field(name) else "")
            if name in prices.calculated:
                row.append(calculated[name])
        yield row


def read_prices(prices: PriceList, forms: Sequence[Any], data: bytes) -> Preview:
    """Returns what a file would change. Raises ValueError with a sentence if it is no list of these prices."""
    head, rows = read_table(data)
    columns = _columns(prices, head)
    by_id = {form.goods.id: form for form in forms}
    preview = Preview(missing=tuple(label for name, label in prices.columns.items() if name not in columns))
    seen: dict[str, int] = {}
    for row in rows:
        cells = dict(zip(columns, row.cells, strict=False))
        number = cells.get(NUMBER, "").strip()
        form = by_id.get(int(number)) if number.isascii() and number.isdigit() else None
        if sentences := _wrong(prices, row, len(head), number, form, cells, seen):
            preview.refused.append(RefusedRow(row.line, tuple(sentences)))
            continue
        seen[number] = row.line
        _read_row(prices, form, cells, row.line, preview)
    return preview


def _columns(prices: PriceList, head: Sequence[str]) -> list[str]:
    """Returns what each column holds: the name of a field, or its heading. Raises ValueError with a sentence."""
    fields = {label.casefold(): name for name, label in prices.columns.items()}
    others = {label.casefold(): label for label in (NUMBER, prices.goods_label, *prices.calculated.values())}
    columns: list[str] = []
    names = [" ".join(label.split()).casefold() for label in head]
    if NUMBER.casefold() not in names:
        raise ValueError(NO_NUMBERS)
    for label, name in zip(head, names, strict=True):
        found = fields.get(name) or others.get(name)
        if found is None:
            raise ValueError(UNKNOWN_COLUMN.format(name=label))
        if found in columns:
            raise ValueError(COLUMN_TWICE.format(name=label))
        columns.append(found)
    return columns


def _wrong(
    prices: PriceList,
    row: TableRow,
    width: int,
    number: str,
    form: Any,
    cells: Mapping[str, str],
    seen: Mapping[str, int],
) -> list[str]:
    """Returns why a row cannot be read at all."""
    if len(row.cells) > width:
        return [TOO_MANY_CELLS]
    if form is None:
        return [NO_SUCH_NUMBER.format(goods=prices.goods_label.lower(), number=number)]
    if number in seen:
        return [NUMBER_TWICE.format(number=number, line=seen[number])]
    typed = " ".join(cells.get(prices.goods_label, form.goods.name).split())
    if typed != form.goods.name:
        return [OTHER_NAME.format(number=number, name=form.goods.name, typed=typed)]
    return []


def _read_row(prices: PriceList, form: Any, cells: Mapping[str, str], line: int, preview: Preview) -> None:
    """Adds to the preview what a row of the file changes, or why it is refused."""
    was = {name: form[name].text for name in prices.columns if form.uses_field(name)}
    sent = {form[name].name: cells[name].strip() if name in cells else was[name] for name in was}
    read = prices.make_form(form.goods, MultiDict(sent))
    unused = [name for name in prices.columns if name not in was and cells.get(name, "").strip()]
    if not read.validate() or unused:
        sentences = [*_wrong_cells(read)]
        sentences += [HAS_NONE.format(label=prices.columns[name], name=form.goods.name) for name in unused]
        preview.refused.append(RefusedRow(line, tuple(sentences)))
        return
    saved = prices.make_form(form.goods, MultiDict({form[name].name: text for name, text in was.items()}))
    saved.validate()
    changed = tuple(
        ChangedCell(prices.columns[name], was[name], read[name].text, read[name].id)
        for name in was
        if read[name].text != was[name] and not _is_equal(read[name], saved[name])
    )
    if not changed:
        preview.same += 1
        return
    kept = {saved[name].name: was[name] for name in was if saved[name].id not in {cell.target for cell in changed}}
    preview.texts |= sent | kept
    preview.changed.append(ChangedRow(line, form.goods.name, changed))


def _is_equal(read: Any, saved: Any) -> bool:
    """Returns whether two texts mean the same, as 4,50 and 4.50 do."""
    return not saved.errors and read.value_or_none == saved.value_or_none


def _wrong_cells(form: Any) -> Iterator[str]:
    """Yields what is wrong in each cell of a row, with what stands there."""
    for one in form:
        for sentence in one.errors:
            yield WRONG_CELL.format(label=one.label.text, typed=one.text, sentence=sentence)
