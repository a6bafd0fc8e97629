"""Office: one question of the review as it is shown: pictures, and the table with the same numbers."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from typing import Any

from sqlalchemy.orm import Session

from app.actions.context import Context
from app.places.office.review_period import Period
from app.quoting.shop import Shop
from app.web.drawings.bar_chart import BarChart, HeatGrid
from app.web.formats import Formats


class CellSort(StrEnum):
    """What a column holds. SHARE: a share of 1. MINUTES, MONEY: whole numbers."""

    TEXT = "text"
    DAY = "day"
    COUNT = "count"
    MONEY = "money"
    SHARE = "share"
    MINUTES = "minutes"


MOST_ROWS = 60
"""The page shows so many rows of a table, and the sums of all others in one."""
SUMMED = (CellSort.COUNT, CellSort.MONEY, CellSort.MINUTES)
Value = str | int | float | date | None


@dataclass(frozen=True, slots=True)
class TableColumn:
    """A column of a table. name: in the .csv, and for its words. has_total: whether its sum is shown. words:
    if they are not those of its name."""

    name: str
    sort: CellSort = CellSort.COUNT
    has_total: bool = True
    words: str = ""

    @property
    def is_number(self) -> bool:
        return self.sort not in (CellSort.TEXT, CellSort.DAY)

    @property
    def is_summed(self) -> bool:
        return self.has_total and self.sort in SUMMED


@dataclass(frozen=True, slots=True)
class CellRow:
    """A row of a table. address: of its orders; empty without. mark: the word for a look of its own."""

    values: tuple[Value, ...]
    address: str = ""
    mark: str = ""


@dataclass(frozen=True, slots=True)
class Table:
    """A table with the sums of its columns. name: of its .csv, and for its heading."""

    name: str
    columns: tuple[TableColumn, ...]
    rows: tuple[CellRow, ...]

    @property
    def totals(self) -> tuple[int | None, ...]:
        """The sum of each column; None where there is none."""
        return self._sums(self.rows)

    @property
    def first_rows(self) -> tuple[CellRow, ...]:
        """The rows that the page shows; the .csv has all."""
        return self.rows if len(self.rows) <= MOST_ROWS + 1 else self.rows[:MOST_ROWS]

    @property
    def rest(self) -> tuple[int | None, ...]:
        """The sum of each column over the rows that the page does not show."""
        return self._sums(self.rows[len(self.first_rows) :])

    def _sums(self, rows: Sequence[CellRow]) -> tuple[int | None, ...]:
        return tuple(
            sum(_number(row.values[place]) for row in rows) if column.is_summed else None
            for place, column in enumerate(self.columns)
        )


def _number(value: Value) -> int:
    return value if isinstance(value, int) else 0


@dataclass(frozen=True, slots=True)
class PictureWithTable:
    """One picture of a question with its table. chart: None if there is nothing to draw."""

    chart: BarChart | HeatGrid | None
    table: Table


@dataclass(frozen=True, slots=True)
class Question:
    """One question of the review."""

    name: str
    pictures: tuple[PictureWithTable, ...]

    @property
    def is_wide(self) -> bool:
        """Whether it takes all the width of a large screen: parts of its pictures stand beside each other."""
        panels = (one.chart.panels for one in self.pictures if isinstance(one.chart, BarChart))
        return len(self.pictures) > 1 or any(len(one) > 1 for one in panels)


@dataclass(frozen=True, slots=True)
class Asked:
    """What all questions ask with. today: the first moment of the shop's day."""

    context: Context
    period: Period
    shop: Shop
    formats: Formats
    today: datetime
    now: datetime

    @property
    def periods(self) -> tuple[Period, ...]:
        """The period, then those with which it is compared."""
        return self.period, *self.period.compared.values()

    @property
    def session(self) -> Session:
        return self.context.session


def cell_words(value: Any, sort: CellSort, formats: Formats) -> str:
    """Returns a value as the page shows it."""
    if value is None:
        return "–"
    write: dict[CellSort, Any] = {
        CellSort.DAY: formats.short_date_with_year,
        CellSort.COUNT: formats.number,
        CellSort.MONEY: formats.money,
        CellSort.SHARE: formats.percent,
        CellSort.MINUTES: formats.minutes,
    }
    return str(write[sort](value)) if sort in write else str(value)


def cell_data(value: Any, sort: CellSort, formats: Formats) -> str:
    """Returns a value as a program reads it."""
    if value is None:
        return ""
    if sort is CellSort.MONEY:
        return formats.table_amount(value)
    return f"{value:.4f}" if sort is CellSort.SHARE else str(value)
