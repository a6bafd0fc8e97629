"""A plain form as it was typed, read field by field: each wrong one has its sentence, nothing typed is lost."""

from collections.abc import Callable, Collection, Mapping
from datetime import date
from typing import TypeVar

from wtforms.validators import ValidationError

from app.quoting.errors import Problem, Refused
from app.web.forms import read_money, read_number, read_whole

Value = TypeVar("Value")


class Typed:
    """Every reader gives a stand-in for what cannot be read, so call check() before using any.

    texts: by field. decimals: the currency's.
    """

    def __init__(self, texts: Mapping[str, str], decimals: int) -> None:
        self.texts = texts
        self._decimals = decimals
        self._problems: list[Problem] = []

    def check(self) -> None:
        """Raises Refused with all that could not be read."""
        if self._problems:
            raise Refused(*self._problems)

    def text(self, field: str) -> str:
        return self.texts.get(field, "").strip()

    def one_of(self, field: str, choices: Collection[str]) -> str:
        def read(text: str) -> str:
            if text not in choices:
                raise ValidationError(f"One of these, please: {', '.join(choices)}.")
            return text

        return self._read(field, read, "")

    def number(self, field: str, low: float, high: float, unit: str = "") -> float:
        return self._read(field, lambda text: read_number(text, low, high, unit), low)

    def number_or_none(self, field: str, low: float, high: float, unit: str = "") -> float | None:
        return self.number(field, low, high, unit) if self.text(field) else None

    def whole(self, field: str, low: int, high: int, what: str) -> int:
        return self._read(field, lambda text: read_whole(text, low, high, what), low)

    def day(self, field: str) -> date:
        def read(text: str) -> date:
            try:
                return date.fromisoformat(text)
            except ValueError:
                raise ValidationError("Which day? A date, please, as in 2026-11-28.") from None

        return self._read(field, read, date.min)

    def money(self, field: str) -> int:
        return self._read(field, lambda text: read_money(text, self._decimals), 0)

    def money_or_none(self, field: str) -> int | None:
        return self.money(field) if self.text(field) else None

    def _read(self, field: str, read: Callable[[str], Value], instead: Value) -> Value:
        try:
            return read(self.text(field))
        except ValidationError as wrong:
            self._problems.append(Problem(field, str(wrong)))
            return instead
