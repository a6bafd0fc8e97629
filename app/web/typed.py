"""This module reads a plain form field by field: each wrong field gets its sentence, and nothing that was typed
is lost."""

from collections.abc import Callable, Collection, Mapping
from datetime import date
from typing import TypeVar

from wtforms.validators import ValidationError

from app.quoting.errors import Problem, Refused
from app.web.forms import read_money, read_number, read_whole

Value = TypeVar("Value")


class Typed:
    """The texts of a form as they were typed.

    Each reader returns a stand-in for a field that cannot be read, so check() must be called before any value is
    used. texts: by field. decimals: those of the shop's currency.
    """

    def __init__(self, texts: Mapping[str, str], decimals: int) -> None:
        self.texts = texts
        self._decimals = decimals
        self._problems: list[Problem] = []

    def check(self) -> None:
        """Raises Refused with the sentences of all fields that could not be read."""
        if self._problems:
            raise Refused(*self._problems)

    def text(self, field: str) -> str:
        """Returns the text of a field without spaces at its ends; '' when there is none."""
        return self.texts.get(field, "").strip()

    def one_of(self, field: str, choices: Collection[str]) -> str:
        """Returns the text of a field that must be one of the choices."""

        def read(text: str) -> str:
            if text not in choices:
                raise ValidationError(f"One of these, please: {', '.join(choices)}.")
            return text

        return self._read(field, read, "")

    def number(self, field: str, low: float, high: float, unit: str = "") -> float:
        """Returns the number in a field, which must lie from low to high."""
        return self._read(field, lambda text: read_number(text, low, high, unit), low)

    def number_or_none(self, field: str, low: float, high: float, unit: str = "") -> float | None:
        """Returns the number in a field, or None when the field is empty."""
        return self.number(field, low, high, unit) if self.text(field) else None

    def whole(self, field: str, low: int, high: int, what: str) -> int:
        """Returns the whole number in a field. what: the name of the figure, with which its sentence begins."""
        return self._read(field, lambda text: read_whole(text, low, high, what), low)

    def day(self, field: str) -> date:
        """Returns the date in a field."""

        def read(text: str) -> date:
            try:
                return date.fromisoformat(text)
            except ValueError:
                raise ValidationError("Which day? A date, please, as in 2026-11-28.") from None

        return self._read(field, read, date.min)

    def money(self, field: str) -> int:
        """Returns the amount in a field, in minor units."""
        return self._read(field, lambda text: read_money(text, self._decimals), 0)

    def money_or_none(self, field: str) -> int | None:
        """Returns the amount in a field, in minor units, or None when the field is empty."""
        return self.money(field) if self.text(field) else None

    def _read(self, field: str, read: Callable[[str], Value], instead: Value) -> Value:
        """Returns what the reader makes of a field; if it cannot be read, remembers its sentence and returns the
        stand-in."""
        try:
            return read(self.text(field))
        except ValidationError as wrong:
            self._problems.append(Problem(field, str(wrong)))
            return instead
