"""Tables as spreadsheets write them are read cell by cell, each with its line; what is no table is refused."""

import re

import pytest

from app.web.table_reader import SPREADSHEET, read_table
from app.web.tables import MARK


@pytest.mark.parametrize("mark", [",", ";", "\t"])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
@pytest.mark.parametrize("begin", ["", MARK])
def test_cells_are_read_whatever_stands_between_them(mark, end, begin):
    text = begin + end.join(["a" + mark + "b", "1" + mark + f'"2{mark}0"', ""])
    head, rows = read_table(text.encode())
    assert head == ("a", "b")
    assert [(row.line, row.cells) for row in rows] == [(2, ("1", f"2{mark}0"))]


def test_a_row_has_the_line_at_which_it_begins_and_empty_rows_are_left_out():
    _, rows = read_table(b'a,b\n"one\ntwo",1\n,\nthree,2\n')
    assert [(row.line, row.cells[0]) for row in rows] == [(2, "one\ntwo"), (5, "three")]


def test_the_apostrophe_before_a_formula_is_taken_away_and_no_other():
    _, rows = read_table(b"a,b\n'=1+1,'tis\n")
    assert rows[0].cells == ("=1+1", "'tis")


def test_blank_columns_at_the_end_are_left_out_but_not_a_cell_below_a_heading():
    head, rows = read_table(b"a,b,,\n1,,,\n1,2,,3\n")
    assert head == ("a", "b")
    assert [row.cells for row in rows] == [("1", ""), ("1", "2", "", "3")]


def test_a_first_line_that_names_the_mark_is_no_head():
    head, rows = read_table(b'sep=;\r\na,x;b\r\n"1";2\r\n')
    assert head == ("a,x", "b")
    assert [(row.line, row.cells) for row in rows] == [(3, ("1", "2"))]


def test_a_spreadsheet_that_is_no_csv_is_named():
    with pytest.raises(ValueError, match=re.escape(SPREADSHEET)):
        read_table(b"PK\x03\x04\x14\x00\xff")


@pytest.mark.parametrize("data", [b"", b"\xff\xfe1", b"a,b\n\0,1", b'a,b\n"1', b"\n \n"])
def test_what_is_no_table_is_refused(data):
    with pytest.raises(ValueError, match=r"\w"):
        read_table(data)
