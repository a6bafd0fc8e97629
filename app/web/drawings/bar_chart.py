"""This module lays out the pictures of the review: bars that lie one below the other, and a grid of hours by
weekday. The macros in `_macros/charts.html` draw them.

Bars lie, so that their words and numbers stay readable on a phone. Long charts are cut into panels that stand
beside each other where there is room, and between which paper may break.
"""

from collections.abc import Sequence
from dataclasses import dataclass

WIDTH, ROW, BAR_TOP = 360.0, 54.0, 21.0
"""A row is as high as a finger needs, even where the picture is drawn smaller on a narrow phone."""
HEIGHTS = {1: (18.0,), 2: (13.0, 9.0), 3: (11.0, 7.0, 7.0)}
"""The heights of the bars of one row, by how many there are."""
STRIPES, WARNING = "stripes", "warning"
"""The patterns of bars, which tell them apart without their colours."""
LEAST = 1.5
"""A bar of anything above nothing can be seen."""
FEW_ROWS, MOST_ROWS, BESIDE = 14, 10, 3
"""Few rows are not cut; two panels of the most rows fit below each other on a sheet of paper; so many stand beside
each other."""
CELL_WIDTH, CELL_HEIGHT, HEAD_WIDTH, HEAD_HEIGHT = 43.0, 28.0, 59.0, 22.0
DEPTHS = 4


@dataclass(frozen=True, slots=True)
class BarRow:
    """What one row shows. shown: the number at its end, in words. values: one for each series. address: of its
    orders. mark: WARNING, or empty. reach: where a thin line from the bar ends."""

    words: str
    shown: str
    values: tuple[float, ...]
    address: str = ""
    mark: str = ""
    reach: float = 0.0


@dataclass(frozen=True, slots=True)
class ChartBar:
    """A bar. series: its place among those of its row, from 0. pattern: with which it is filled; empty for
    plain."""

    series: int
    pattern: str
    y: float
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class DrawnRow:
    row: BarRow
    y: float
    bars: tuple[ChartBar, ...]
    reach: float


@dataclass(frozen=True, slots=True)
class Panel:
    rows: tuple[DrawnRow, ...]
    height: float


@dataclass(frozen=True, slots=True)
class BarChart:
    """Bars on one scale. text: the same in words. series: what each bar of a row is; none if there is one. limit:
    where an upright line stands, and its words."""

    text: str
    panels: tuple[Panel, ...]
    series: tuple[str, ...] = ()
    limit: float | None = None
    limit_words: str = ""
    kind: str = "bars"


def layout_bars(
    text: str,
    rows: Sequence[BarRow],
    series: Sequence[str] = (),
    limit: tuple[float, str] | None = None,
    whole: float | None = None,
) -> BarChart:
    """Returns the chart of these rows. whole: the value of the longest bar that can be; without it the longest one
    that is. limit: the value of a line that is not to be passed, and its words."""
    values = [value for row in rows for value in (*row.values, row.reach)]
    most = whole or max([*values, limit[0] if limit else 0.0, 0.0])
    scale = WIDTH / most if most > 0 else 0.0
    length = rows_of_panel(len(rows))
    panels = [rows[start : start + length] for start in range(0, len(rows), length)]
    return BarChart(
        text,
        tuple(_panel(part, scale) for part in panels),
        tuple(series),
        round(limit[0] * scale, 1) if limit else None,
        limit[1] if limit else "",
    )


def rows_of_panel(rows: int) -> int:
    """Returns how many rows a panel has, so that full rows of panels stand beside each other."""
    if rows <= FEW_ROWS:
        return max(rows, 1)
    return -(-rows // (BESIDE * -(-rows // (BESIDE * MOST_ROWS))))


def _panel(rows: Sequence[BarRow], scale: float) -> Panel:
    drawn = tuple(_row(row, place * ROW, scale) for place, row in enumerate(rows))
    return Panel(drawn, len(rows) * ROW)


def _row(row: BarRow, top: float, scale: float) -> DrawnRow:
    y, bars = top + BAR_TOP, []
    for series, (value, height) in enumerate(zip(row.values, HEIGHTS[len(row.values)], strict=True)):
        if value > 0:
            pattern = {0: row.mark, 1: STRIPES}.get(series, "")
            bars.append(ChartBar(series, pattern, y, round(min(max(value * scale, LEAST), WIDTH), 1), height))
        y += height + 1
    return DrawnRow(row, top, tuple(bars), round(min(row.reach * scale, WIDTH), 1))


@dataclass(frozen=True, slots=True)
class Cell:
    """An hour of a weekday. depth: how deep its colour is, from 0 for nothing to 4. shown: its number; empty for
    nothing. words: the hour and the weekday. address: of its orders; empty for nothing."""

    x: float
    y: float
    depth: int
    shown: str
    words: str
    address: str


@dataclass(frozen=True, slots=True)
class Head:
    x: float
    y: float
    words: str


@dataclass(frozen=True, slots=True)
class HeatGrid:
    """Hours from the top down by weekdays from left to right. text: the same in words."""

    text: str
    cells: tuple[Cell, ...]
    heads: tuple[Head, ...]
    height: float
    kind: str = "heat"


@dataclass(frozen=True, slots=True)
class HourLine:
    """One hour: its number on each weekday, and the addresses of the orders behind them."""

    words: str
    values: Sequence[int]
    addresses: Sequence[str]


def layout_heat(text: str, hours: Sequence[HourLine], weekdays: Sequence[str]) -> HeatGrid:
    """Returns the grid; the largest number has the deepest colour."""
    most = max((value for line in hours for value in line.values), default=0)
    cells, heads = [], [_head(place, words) for place, words in enumerate(weekdays)]
    for row, line in enumerate(hours):
        y = HEAD_HEIGHT + row * CELL_HEIGHT
        heads.append(Head(HEAD_WIDTH - 4, y + CELL_HEIGHT / 2 + 4, line.words))
        for place, (value, address) in enumerate(zip(line.values, line.addresses, strict=True)):
            x, shown = HEAD_WIDTH + place * CELL_WIDTH, str(value) if value else ""
            words = f"{weekdays[place]} {line.words}"
            cells.append(Cell(x, y, depth_of(value, most), shown, words, address if value else ""))
    return HeatGrid(text, tuple(cells), tuple(heads), HEAD_HEIGHT + len(hours) * CELL_HEIGHT)


def depth_of(value: int, most: int) -> int:
    """Returns how deep the colour of a number is: 0 for nothing, then in quarters of the largest number."""
    return min(DEPTHS, -(-value * DEPTHS // most)) if most and value > 0 else 0


def _head(place: int, words: str) -> Head:
    return Head(HEAD_WIDTH + place * CELL_WIDTH + CELL_WIDTH / 2, HEAD_HEIGHT - 7, words)
