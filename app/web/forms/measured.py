"""Fields for lengths, weights and winds: kept in cm, m, g and m/s, typed and shown in the shop's unit."""

from typing import Any

from app.web.forms.fields import TypedField, Value
from app.web.forms.reading import STRONGEST_WIND_M_S, read_measure, read_wind
from app.web.measures import ShownUnit, typed_value
from app.web.requests import request_context


class MeasuredField(TypedField[Value]):
    """A field whose value is kept in one unit and typed in the shop's.

    kept_unit: the unit of its value, its `low` and its `high`. A number with which it is filled in is written in
    the shop's unit; sent back as it was written, it is the same number again.
    """

    kept_unit = ""
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
        return read_measure(text, low, high, request_context().formats.units(self.kept_unit))


class MeasureField(MeasuredField[float]):
    """A length or a weight from low to high."""

    def __init__(self, label: str | None, low: float, high: float, kept_unit: str, **kwargs: Any) -> None:
        self.kept_unit = kept_unit
        super().__init__(label, **kwargs)
        self.low, self.high = low, high

    def read(self, text: str) -> float:
        return self.read_number(text, self.low, self.high)


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
