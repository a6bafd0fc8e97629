"""The pictures of the review: bars on one scale, and hours by weekdays."""

import pytest
from hypothesis import given
from hypothesis.strategies import floats, integers, lists

from app.web.drawings.bar_chart import (
    FEW_ROWS,
    LEAST,
    MOST_ROWS,
    ROW,
    WARNING,
    WIDTH,
    BarRow,
    HourLine,
    depth_of,
    layout_bars,
    layout_heat,
    rows_of_panel,
)


def _bars(*rows, **how):
    chart = layout_bars("words", rows, **how)
    return chart, [drawn for panel in chart.panels for drawn in panel.rows]


def test_the_longest_bar_is_as_wide_as_the_picture_and_the_others_are_shares_of_it():
    _, rows = _bars(BarRow("a", "8", (8.0,)), BarRow("b", "2", (2.0,)), BarRow("c", "0", (0.0,)))
    assert [[bar.width for bar in row.bars] for row in rows] == [[WIDTH], [WIDTH / 4], []]


def test_a_small_value_can_be_seen():
    _, rows = _bars(BarRow("a", "1000000", (1e6,)), BarRow("b", "1", (1.0,)))
    assert rows[1].bars[0].width == LEAST


def test_series_lie_below_each_other_within_their_row_and_only_the_second_is_striped():
    _, (row, below) = _bars(BarRow("a", "3", (3.0, 2.0, 1.0)), BarRow("b", "1", (1.0, 1.0, 1.0)))
    assert [bar.pattern for bar in row.bars] == ["", "stripes", ""]
    ends = [bar.y + bar.height for bar in row.bars]
    assert all(end <= bar.y for end, bar in zip(ends, row.bars[1:], strict=False))
    assert ends[-1] <= below.y == ROW


def test_what_is_marked_has_a_pattern_of_its_own_and_the_limit_is_on_the_same_scale():
    chart, (row,) = _bars(BarRow("a", "20%", (0.2,), mark=WARNING), limit=(0.35, "35%"), whole=1.0)
    assert (row.bars[0].pattern, row.bars[0].width) == (WARNING, pytest.approx(0.2 * WIDTH))
    assert chart.limit == pytest.approx(0.35 * WIDTH)


@given(lists(floats(0, 1e9), min_size=1, max_size=130))
def test_every_bar_lies_within_its_panel(values):
    chart = layout_bars("words", [BarRow("a", "1", (value,), reach=value) for value in values])
    assert sum(len(panel.rows) for panel in chart.panels) == len(values)
    for panel in chart.panels:
        for row in panel.rows:
            assert row.reach <= WIDTH
            assert all(bar.width <= WIDTH and bar.y + bar.height <= panel.height for bar in row.bars)


@given(integers(0, 400))
def test_a_panel_fits_on_a_sheet(rows):
    assert 1 <= rows_of_panel(rows) <= max(FEW_ROWS, MOST_ROWS)
    assert rows <= FEW_ROWS or rows_of_panel(rows) <= MOST_ROWS


@pytest.mark.parametrize(("value", "depth"), [(0, 0), (1, 1), (25, 1), (26, 2), (75, 3), (76, 4), (100, 4)])
def test_a_number_is_as_deep_as_its_quarter_of_the_largest(value, depth):
    assert depth_of(value, 100) == depth


def test_each_hour_has_its_row_and_says_its_number():
    grid = layout_heat(
        "words",
        [HourLine("9:00", [1, 0, 4], ["a", "b", "c"]), HourLine("10:00", [0, 2, 0], ["d", "e", "f"])],
        ["Mon", "Tue", "Wed"],
    )
    assert [(cell.depth, cell.shown) for cell in grid.cells] == [
        *((1, "1"), (0, ""), (4, "4")),
        *((0, ""), (2, "2"), (0, "")),
    ]
    assert [(cell.words, cell.address) for cell in grid.cells if cell.address] == [
        *(("Mon 9:00", "a"), ("Wed 9:00", "c"), ("Tue 10:00", "e")),
    ]
    assert [head.words for head in grid.heads] == ["Mon", "Tue", "Wed", "9:00", "10:00"]
    assert grid.cells[0].y < grid.cells[3].y < grid.height


def test_nothing_at_all_is_no_colour():
    assert depth_of(0, 0) == 0
