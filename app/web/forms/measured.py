"""Fields for sizes, lengths, weights, winds and temperatures: kept in inches, cm, m, g, m/s and °C, typed and shown
in the shop's unit."""

import math
import re
from typing import Any

from wtforms.validators import ValidationError

from app.quoting.extras import price_of_one
from app.web.forms.fields import MoneyField, TypedField, Value
from app.web.forms.reading import MOST_MONEY, STRONGEST_WIND_M_S, read_measure, read_wind
from app.web.measures import ShownUnit, shown_count, shown_range, typed_value
from app.web.requests import request_context
from app.web.wording.forms import AMOUNT_TOO_LARGE

_SENT_BY_SLIDER = re.compile(r"-?[0-9]+(\.[0-9]+)?")


class MeasuredField(TypedField[Value]):
    """A field whose value is kept in one unit and typed in the shop's.

    kept_unit: the unit of its value, its `low` and its `high`. A number with which it is filled in is written in
    the shop's unit; sent back as it was written, it is the same number again.
    """

    kept_unit = ""
    kept_decimals: int | None = None
    _filled_in: float | None = None

    @property
    def shown_unit(self) -> ShownUnit:
        return request_context().formats.unit(self.kept_unit)

    @property
    def unit(self) -> str:  # type: ignore[override]
        return self.shown_unit.name

    def process_data(self, value: Any) -> None:
        """Fills the field in: with a number, or with a text as it is typed."""
        self._filled_in = float(value) if isinstance(value, int | float) else None
        super().process_data(value if self._filled_in is None else self.written(self._filled_in))

    @property
    def filled_in_text(self) -> str | None:
        """The text with which the field was filled in; None if it was not filled in with a number."""
        return None if self._filled_in is None else self.written(self._filled_in)

    def set_unit(self, kept_unit: str) -> None:
        """Sets the unit of the value, and writes a number with which the field was filled in in the shop's unit."""
        self.kept_unit = kept_unit
        if self._filled_in is not None and not self.raw_data:
            self.data = self.filled_in_text

    def written(self, value: float) -> str:
        """Returns a number as a person types it."""
        return self._marked(typed_value(value, self.shown_unit))

    def _marked(self, text: str) -> str:
        """Returns a number with the shop's decimal mark."""
        return text.replace(".", request_context().formats.decimal_mark)

    def read_number(self, text: str, low: float, high: float) -> float:
        """Returns a typed number in the unit in which it is kept. Raises ValidationError with a sentence."""
        if self._filled_in is not None and text == self.filled_in_text and low <= self._filled_in <= high:
            return self._filled_in
        units = request_context().formats.units(self.kept_unit)
        return read_measure(text, low, high, units, self.kept_decimals)


class MeasureField(MeasuredField[float]):
    """A size, a length or a weight from low to high."""

    def __init__(self, label: str | None, low: float, high: float, kept_unit: str, **kwargs: Any) -> None:
        self.kept_unit = kept_unit
        super().__init__(label, **kwargs)
        self.low, self.high = low, high

    def read(self, text: str) -> float:
        return self.read_number(text, self.low, self.high)


class SliderField(MeasureField):
    """A measure from low to high that is set with a slider. Browsers send its number with a point, wherever the
    shop is; one that was typed into the address may have the shop's mark.

    step: of the slider. other_step: the same if the shop's unit is another one.
    """

    def __init__(
        self, label: str, low: float, high: float, kept_unit: str, step: float, other_step: float, **kwargs: Any
    ) -> None:
        super().__init__(label, low, high, kept_unit, **kwargs)
        self._steps = (step, other_step)

    @property
    def attributes(self) -> dict[str, str]:
        """What the slider is told besides its value: its range and its step."""
        unit = self.shown_unit
        low, high = shown_range(self.low, self.high, unit)
        return {"min": f"{low:g}", "max": f"{high:g}", "step": f"{self._steps[unit.size != 1.0]:g}"}

    def written(self, value: float) -> str:
        """Returns a number as a slider has it."""
        return typed_value(value, self.shown_unit)

    def read(self, text: str) -> float:
        return super().read(self._marked(text) if _SENT_BY_SLIDER.fullmatch(text) else text)


class CountedField(MeasureField):
    """An amount of goods from low to high. It is filled in as pages show it, to a tenth of a foot; what is typed is
    kept to a tenth of a millimetre, so that 405 ft stay 405 ft."""

    kept_decimals = 4

    def __init__(self, label: str | None, low: float, high: float, **kwargs: Any) -> None:
        super().__init__(label, low, high, "", **kwargs)

    def written(self, value: float) -> str:
        """Returns a number as a person types it."""
        if self.shown_unit.size == 1.0:
            return super().written(value)
        return self._marked(f"{shown_count(value, self.shown_unit):.10g}")


class TemperatureField(MeasureField):
    """A temperature from low to high, in °C."""

    def __init__(self, label: str | None, low: float, high: float, **kwargs: Any) -> None:
        super().__init__(label, low, high, "°C", **kwargs)


class PriceOfOneField(MoneyField):
    """A price, kept as that of one of the unit in which goods are counted and typed as that of one of the shop's.

    It is in minor units. A price that is sent back as it was written is the same again.
    """

    kept_unit = ""
    _filled_in: int | None = None

    def process_data(self, value: Any) -> None:
        """Fills the field in: with minor units, or with a text as it is typed."""
        self._filled_in = value if isinstance(value, int) else None
        super().process_data(value if self._filled_in is None else self.written(self._filled_in))

    def set_unit(self, kept_unit: str) -> None:
        """Sets in which unit the goods are counted."""
        self.kept_unit = kept_unit
        if self._filled_in is not None and not self.raw_data:
            self.data = self.written(self._filled_in)

    @property
    def _of_one(self) -> float:
        return request_context().formats.unit(self.kept_unit).size

    def written(self, minor: float) -> str:
        """Returns a price as a person types it."""
        return super().written(price_of_one(int(minor), self._of_one))

    def read(self, text: str) -> int:
        if self._filled_in is not None and text == self.written(self._filled_in):
            return self._filled_in
        minor = math.floor(super().read(text) / self._of_one + 0.5)
        if minor > MOST_MONEY:
            raise ValidationError(AMOUNT_TOO_LARGE)
        return minor


class WindField(MeasuredField[float]):
    """A field for a wind, whose value is in metres per second."""

    kept_unit = "m/s"
    high = STRONGEST_WIND_M_S

    def written(self, value: float) -> str:
        """Returns a wind as a person types it."""
        unit = self.shown_unit
        return self._marked(typed_value(value, unit, lambda text: read_wind(self._marked(text), unit.name)))

    def read(self, text: str) -> float:
        return read_wind(text, self.unit)
