"""Amounts of goods as they were typed: a wrong one is told by the sentence that says what would be right."""

from collections.abc import Callable

from wtforms.validators import ValidationError

from app.actions.stock.lots import MOST, up_to
from app.web.forms import read_number, read_whole
from app.web.typed import Typed, Value

SMALLEST = 1e-9


class TypedAmounts(Typed):
    def pieces(self, field: str, low: int, what: str) -> int:
        right = f"{what}: a whole number from {low}, at most {MOST:,.0f}, please."
        return self._or_say(field, lambda text: read_whole(text, low, int(MOST), what), low, right)

    def amount(self, field: str, low: float) -> float:
        return self._number(field, low, MOST, f"A number from {low:g}, at most {MOST:,.0f}, please.")

    def part_of(self, field: str, most: float) -> float:
        """Above 0."""
        return self._number(field, SMALLEST, most, up_to(most))

    def _number(self, field: str, low: float, high: float, right: str) -> float:
        return self._or_say(field, lambda text: read_number(text, low, high, ""), low, right)

    def _or_say(self, field: str, read: Callable[[str], Value], instead: Value, right: str) -> Value:
        def told(text: str) -> Value:
            try:
                return read(text)
            except ValidationError:
                raise ValidationError(right) from None

        return self._read(field, told, instead)
