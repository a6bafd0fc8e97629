"""What a form says about a field that is wrong: what to enter instead."""

from collections.abc import Iterable
from datetime import time

from flask import has_request_context

from app.craft.money import typed_amount
from app.web.requests import request_context

CHOOSE_DATE = "Choose a date."
ENTER_TIME = "Enter a time, for example 18:30, 6:30 pm or 18."
ENTER_PRESSURE = "Enter the pressure in bar, or in psi with its unit, for example 2200 psi."
AMOUNT_TOO_LARGE = "This amount is too large. Check it."
ENTER_FULL_YEAR = "Enter the year with four digits, for example 2026-11-28."
CHECK_YEAR = "Check the year: it must be from 2000 to 2100."
PAGE_OUT_OF_DATE = "This page is out of date. Reload it, then try again."
NOT_USED = "This construction does not use it."


def describe_range(low: float, high: float, unit: str = "") -> str:
    """Returns “0.5 to 50 g”."""
    return f"{_number(low)} to {_number(high)}{'' if unit == '%' else ' '}{unit}".strip()


def enter_both_times(first: int, last: int) -> str:
    """Returns the sentence for two times of a day that are both needed. first, last: the hours of its example."""
    return f"Enter both times, for example {_clock(first)} and {_clock(last)}."


def enter_both_times_or_none(first: int, last: int) -> str:
    """Returns the sentence for two times of a day that may both be empty. first, last: the hours of its example."""
    return f"Enter both times, for example {_clock(first)} and {_clock(last)}, or leave both empty."


def enter_number(low: float, high: float, unit: str = "") -> str:
    return f"Enter a number from {describe_range(low, high, unit)}."


def enter_whole(low: int, high: int) -> str:
    return f"Enter a whole number from {describe_range(low, high)}."


def enter_amount(decimals: int) -> str:
    """Returns the sentence for an amount of money, with an example that has the currency's decimals."""
    example = typed_amount(450 * 10 ** (decimals - 2), decimals) if decimals >= 2 else "450"
    return f"Enter an amount, for example {example}."


def enter_without_separators(mark: str) -> str:
    """Returns the sentence for a number whose marks can be read in two ways. mark: the shop's decimal mark."""
    return f"Enter this number without thousands separators, for example 1500 or 1500{mark}50."


ENTER_DAY_OF_YEAR = "Enter a day and a month, for example 14 Feb."


def enter_date(example: str) -> str:
    """Returns the sentence for a date that cannot be read. example: a date in numbers, in the order of the shop."""
    return f"Enter a date, for example {example}, 28 Nov, Sat or tomorrow."


def describe_read_date(day: str, days_ahead: int, *, is_past_usual: bool = False) -> str:
    """Returns how a typed date was understood. day: with its weekday. is_past_usual: whether dates of the past are
    as usual here as others."""
    near = {0: "today", 1: "tomorrow", -1: "yesterday"}.get(days_ahead)
    if near:
        return f"{day}, {near}"
    return f"{day}, in the past" if days_ahead < 0 and not is_past_usual else day


def describe_missing_day(day: int, month: str, year: int | None = None) -> str:
    """Returns the sentence for a day that its month does not have. year: None if no year has it."""
    return f"There is no {day} {month}{f' {year}' if year else ''}. Check the date."


def describe_missing_month(month: int, first: str, example: str) -> str:
    """Returns the sentence for a number above 12 where the month stands. first: what comes first here, “day”,
    “month” or “year”. example: a date in that order."""
    return f"There is no month {month}. The {first} comes first here, for example {example}."


def ask_which_is_month(first: str, second: str) -> str:
    """Returns the sentence for two numbers of which each may be the month. first, second: the two dates."""
    return f"This could be {first} or {second}. Enter the month as a word."


def describe_wrong_weekday(day: str, weekday: str, typed: str) -> str:
    return f"{day} is a {weekday}, not a {typed}. Check the date."


def ask_about_past_date(day: str, next_year: str) -> str:
    """Returns the sentence for a date without a year that has just passed. day: this year's. next_year: next
    year's, as it is typed."""
    return f"{day} has passed. If you mean next year, enter {next_year}."


def enter_wind(strongest: int, unit: str, *, usual: str = "m/s", is_beaufort: bool = False) -> str:
    """Returns the sentence for a wind that cannot be read. usual: the shop's unit. is_beaufort: a force was
    typed."""
    sentence = f"Enter a wind from 0 to {strongest} {unit}."
    if unit == usual:
        other = "m/s" if unit == "mph" else "mph"
        sentence += f" For km/h, {other} or knots, add the unit, for example 20 km/h."
    return f"Beaufort cannot be used here. {sentence}" if is_beaufort else sentence


def enter_pressure(highest: float, unit: str, *, maybe_psi: str = "") -> str:
    """Returns the sentence for a pressure out of range. maybe_psi: the number, if it may have been meant in psi."""
    hint = f" If it is psi, enter {maybe_psi} psi." if maybe_psi else ""
    return f"Enter a pressure from {describe_range(0, highest, unit)}.{hint}"


def too_many_rows(rows: str, most: int, count: int) -> str:
    """Returns the sentence for an order with more rows than it may have. rows: “lines” or “extras”."""
    most_rows = f"An order has at most {most} {rows}; this one has {count}."
    return f"{most_rows} Remove {count - most} and save the rest as another order."


def too_many_photos(most: int, count: int) -> str:
    return f"No photo was saved: {count} were sent, and at most {most} go together. Send them in several turns."


def choose_from(labels: Iterable[str]) -> str:
    return f"Choose one of these: {', '.join(labels)}."


def shorten_to(letters: int, typed: int) -> str:
    return f"Shorten this to {letters:,} letters. It has {typed:,}."


def describe_skipped_time(time: str, after: str) -> str:
    return f"The clocks go forward that night: there is no {time}. Enter {after} or another time."


def describe_time_shown_twice(time: str) -> str:
    return f"The clocks go back that night: {time} comes twice. Choose one."


def _clock(hour: int) -> str:
    """Returns a full hour as the shop writes it; as “08:00” outside a request."""
    return request_context().formats.time_of_day(time(hour)) if has_request_context() else f"{hour:02}:00"


def _number(value: float) -> str:
    """Returns a number as the shop writes it; as Python does, outside a request."""
    return (
        request_context().formats.number(value, 3 if abs(value) >= 0.1 else 6)
        if has_request_context()
        else f"{value:.10g}"
    )
