"""What a setting is: its meaning, its unit, its range, and how what a person typed becomes its value."""

import re
from dataclasses import dataclass
from zoneinfo import available_timezones

from app.quoting.settings.garland_mix import read_mix

MONEY = "money"
NEVER_EMPTY = {
    "name": "The shop needs a name.",
    "caution": "The caution may be reworded for your country, not left out.",
}
MEMORY, COMMON = "from memory, not looked up", "common practice, no published source"


@dataclass(frozen=True, slots=True)
class Setting:
    """low and high bound a number, both allowed; choices bound a text. source says what the default rests on."""

    key: str
    group: str
    label: str
    meaning: str
    default: float | int | str
    unit: str = ""
    low: float = 0.0
    high: float = 0.0
    choices: tuple[str, ...] = ()
    source: str = ""

    @property
    def is_text(self) -> bool:
        return isinstance(self.default, str)

    def read(self, text: str, decimals: int) -> float | int | str:
        """What a person typed, as a value; decimals: the currency's. Raises ValueError with a sentence."""
        text = text.strip()
        if self.is_text:
            return self._read_text(text)
        if self.unit == MONEY:
            return self._read_money(text, decimals)
        if not re.fullmatch(r"[-+]?[0-9]{1,9}(?:[.,][0-9]{0,9})?", text):
            raise ValueError(f"“{text}” is not a number: {self._range()}.")
        number = float(text.replace(",", "."))
        if not self.low <= number <= self.high:
            raise ValueError(f"{text} is out of range: {self._range()}.")
        if isinstance(self.default, int):
            if number != int(number):
                raise ValueError(f"A whole number, please: {self._range()}.")
            return int(number)
        return number

    def _read_money(self, text: str, decimals: int) -> int:
        found = re.fullmatch(r"([0-9]{1,6})(?:[.,]([0-9]*))?", text)
        cents = (found[2] or "") if found else ""
        if not found or len(cents) > decimals:
            raise ValueError(
                f"An amount from 0, with at most {decimals} digits after the point, as in 0.50, please."
            )
        return int(found[1] + cents.ljust(decimals, "0"))

    def _range(self) -> str:
        return f"{self.low:g} to {self.high:g} {self.unit}".strip()

    def _read_text(self, text: str) -> str:
        if not text and self.key in NEVER_EMPTY:
            raise ValueError(NEVER_EMPTY[self.key])
        if self.key == "zone" and text not in available_timezones():
            raise ValueError("Not a time zone: write one as in Europe/London or America/Denver.")
        if self.key == "garland_mix":
            read_mix(text)
        if self.choices and text not in self.choices:
            raise ValueError(f"One of these, please: {', '.join(self.choices)}.")
        if len(text) > self.high:
            raise ValueError(f"At most {self.high:g} letters, please.")
        return text
