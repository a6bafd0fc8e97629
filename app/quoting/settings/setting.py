"""What a setting is: its meaning, its unit, its range, and which values it may have."""

import re
from dataclasses import dataclass

from app.craft.garland import Mix
from app.quoting.settings.subjects import Subject, effect_of
from app.quoting.settings.zones import find_zone

MONEY = "money"
NEVER_EMPTY = {
    "name": "Enter the name of the shop.",
    "caution": "Enter a caution. You may reword it for your country, but not leave it out.",
}
WHOLE_NUMBER = "Enter a whole number from {range}."
TEXT_TOO_LONG = "Enter at most {most:g} characters."
COMMON, MEMORY = "common practice", "from memory: check it in your own shop"
MEMORY_FLOAT = "from memory: check it against your own float checks"


@dataclass(frozen=True, slots=True)
class Setting:
    """low and high are the range of a number, both included; choices are the values of a text, choice_labels what a
    person reads for each, by default the value itself. source says what the default is based on."""

    key: str
    subject: Subject
    label: str
    meaning: str
    default: float | int | str
    unit: str = ""
    low: float = 0.0
    high: float = 0.0
    choices: tuple[str, ...] = ()
    choice_labels: tuple[str, ...] = ()
    source: str = ""

    @property
    def group(self) -> str:
        """The title of its subject."""
        return self.subject.title

    @property
    def effect(self) -> str:
        """What a change of it does, in a sentence."""
        return effect_of(self.key, self.subject)

    @property
    def is_text(self) -> bool:
        """Whether its value is a text."""
        return isinstance(self.default, str)

    @property
    def is_money(self) -> bool:
        """Whether its value is an amount of money."""
        return self.unit == MONEY

    @property
    def range_words(self) -> str:
        """The range in words: “0 to 600 min”; for an amount of money in minor units."""
        unit = "in the smallest unit of money" if self.is_money else self.unit
        return f"{self.low:.10g} to {self.high:.10g} {unit}".strip()

    @property
    def labels(self) -> dict[str, str]:
        """What a person reads for each choice."""
        return dict(zip(self.choices, self.choice_labels or self.choices, strict=True))

    def check(self, value: float | int | str) -> float | int | str:
        """Returns the value as it is saved; money is in minor units. Raises ValueError with a sentence if the
        setting cannot have it."""
        if self.is_text:
            return self._check_text(value)
        if isinstance(value, str) or not self.low <= value <= self.high:
            raise ValueError(f"Enter a number from {self.range_words}.")
        if not isinstance(self.default, int):
            return float(value)
        if value != int(value):
            raise ValueError(WHOLE_NUMBER.format(range=self.range_words))
        return int(value)

    def _check_text(self, value: float | int | str) -> str:
        """Returns the text. Raises ValueError if it is not a choice."""
        text = str(value)
        if not text and self.key in NEVER_EMPTY:
            raise ValueError(NEVER_EMPTY[self.key])
        if self.key == "zone":
            return find_zone(text)
        if self.key == "garland_mix":
            read_mix(text)
        if self.choices and text not in self.choices:
            raise ValueError(f"Choose one of these: {', '.join(self.labels.values())}.")
        if len(text) > self.high:
            raise ValueError(TEXT_TOO_LONG.format(most=self.high))
        return text


WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
NO_DAY = "no fixed day"
_SHARE = re.compile(r"([0-9]{1,2}(?:\.[0-9]{1,2})?) in × ([0-9]{1,3}(?:\.[0-9]{1,2})?)")


def read_mix(text: str) -> Mix:
    """Returns the shares by size from “5 in × 40, 9 in × 20”; × may be typed as x. Raises ValueError with a
    sentence."""
    found = [_SHARE.fullmatch(part.strip().replace("x", "×")) for part in text.split(",")]
    if not all(found):
        raise ValueError(
            "Enter sizes with their shares, for example 5\u00a0in × 40, 9\u00a0in × 20, 11\u00a0in × 60."
        )
    try:
        return Mix(tuple((float(one[1]), float(one[2])) for one in found if one))
    except ValueError as wrong:
        raise ValueError(f"{str(wrong)[0].upper()}{str(wrong)[1:]}.") from None


def write_mix(mix: Mix) -> str:
    """Returns the mix in percent, to two decimals."""
    whole = sum(share for _, share in mix.shares)
    return ", ".join(f"{size:g} in × {round(100 * share / whole, 2):g}" for size, share in mix.shares)
