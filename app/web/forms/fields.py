"""Fields for the shop's values: each holds what was typed in `data`, and turns it into `value` or a sentence."""

from collections.abc import Callable, Iterable, Mapping
from datetime import date
from typing import Any, Generic, TypeVar

from wtforms import RadioField, SelectChoice, SelectField, StringField
from wtforms.validators import StopValidation, ValidationError

from app.web.forms.dates import Near, read_day
from app.web.forms.reading import (
    read_money,
    read_number,
    read_pressure,
    read_whole,
)
from app.web.forms.separators import AmbiguousNumber
from app.web.requests import request_context
from app.web.wording.forms import choose_from, shorten_to

Value = TypeVar("Value")


class TypedField(StringField, Generic[Value]):
    """A field that turns what was typed into a value, or into a sentence.

    optional: may be left empty; its value is `empty` then. error_sentence: shown instead of any other sentence when
    the field is wrong. low, high: the range, if there is one; a form may set it before it is validated. unit_first:
    whether its unit stands before what is typed.
    """

    unit = ""
    unit_first = False
    low: float = 0
    high: float = 0

    def __init__(
        self,
        label: str | None = None,
        validators: Any = None,
        *,
        optional: bool = False,
        empty: Value | None = None,
        error_sentence: str = "",
        **kwargs: Any,
    ) -> None:
        super().__init__(label, validators, **kwargs)
        self.optional, self.empty, self.error_sentence = optional or empty is not None, empty, error_sentence
        self._value: Value | None = None

    @property
    def text(self) -> str:
        """What was typed, without blanks around it."""
        return (self.data or "").strip()

    @property
    def words(self) -> str:
        """What was typed, with its unit: “5%”, “3 g”."""
        if not self.text or not self.unit:
            return self.text
        return f"{self.text}%" if self.unit == "%" else f"{self.text}\u00a0{self.unit}"

    @property
    def value(self) -> Value:
        """Returns the value of what was typed. Raises ValueError when it is wrong, or was never validated."""
        if self._value is None:
            raise ValueError(f"{self.name} has no value: validate the form first")
        return self._value

    @property
    def value_or_none(self) -> Value | None:
        """Returns the value; None when the field was left empty, is not used by the form, or is wrong."""
        return self._value

    def read(self, text: str) -> Value:
        """Returns the value of a typed text. Raises ValueError with a sentence when the text is wrong."""
        raise NotImplementedError

    def pre_validate(self, form: Any) -> None:
        self._value = None
        if not form.uses_field(self.short_name):
            raise StopValidation
        if not self.text and self.optional:
            self._value = self.empty
            return
        try:
            self._value = self.read(self.text)
        except AmbiguousNumber as wrong:
            raise StopValidation(str(wrong)) from None
        except ValueError as wrong:
            raise StopValidation(self.error_sentence or str(wrong)) from None


class ParsedField(TypedField[Value]):
    """A field with its own parser. parse: returns the value of a text, or raises ValueError with a sentence."""

    def __init__(self, label: str, parse: Callable[[str], Value], validators: Any = None, **kwargs: Any) -> None:
        super().__init__(label, validators, **kwargs)
        self._parse = parse

    def read(self, text: str) -> Value:
        return self._parse(text)


class TextField(TypedField[str]):
    """One line of words, with single blanks between them; it may be empty."""

    def __init__(self, label: str | None = None, validators: Any = None, **kwargs: Any) -> None:
        super().__init__(label, validators, empty="", **kwargs)

    def read(self, text: str) -> str:
        return " ".join(text.split())


class NumberField(TypedField[float]):
    def __init__(self, label: str | None, low: float, high: float, unit: str = "", **kwargs: Any) -> None:
        super().__init__(label, **kwargs)
        self.low, self.high, self.unit = low, high, unit

    def read(self, text: str) -> float:
        return read_number(text, self.low, self.high, self.unit)


class WholeField(TypedField[int]):
    def __init__(self, label: str | None, low: int, high: int, *, what: str = "", **kwargs: Any) -> None:
        super().__init__(label, **kwargs)
        self.low, self.high, self.what = low, high, what

    def read(self, text: str) -> int:
        return read_whole(text, int(self.low), int(self.high))


class MoneyField(TypedField[int]):
    """A field for an amount, whose value is in minor units of the shop's currency."""

    @property
    def unit(self) -> str:  # type: ignore[override]
        return request_context().formats.currency

    @property
    def unit_first(self) -> bool:  # type: ignore[override]
        return request_context().formats.currency_first

    @property
    def words(self) -> str:
        """The amount that was typed, as a price."""
        try:
            return request_context().formats.money(self.read(self.text))
        except ValueError:
            return self.text

    def read(self, text: str) -> int:
        return read_money(text, request_context().formats.decimals)

    def written(self, minor: float) -> str:
        """An amount as a person types it."""
        return request_context().formats.amount(int(minor))


class DayField(TypedField[date]):
    """any_year: the action looks at the year. near: which date is meant where the year is not typed."""

    def __init__(
        self,
        label: str | None = None,
        *,
        any_year: bool = False,
        near: Near = Near.COMING,
        **kwargs: Any,
    ) -> None:
        super().__init__(label, **kwargs)
        self.any_year, self.near = any_year, near

    def process_data(self, value: Any) -> None:
        """Fills the field in: with a date, or with a text as it is typed."""
        super().process_data(request_context().formats.typed_date(value) if isinstance(value, date) else value)

    def read(self, text: str) -> date:
        return read_day(text, any_year=self.any_year, near=self.near)


class PressureField(TypedField[float]):
    """In bar above the air. missing: the sentence where nothing was typed."""

    def __init__(self, label: str | None = None, *, missing: str = "", **kwargs: Any) -> None:
        super().__init__(label, **kwargs)
        self.missing = missing

    def read(self, text: str) -> float:
        if not text and self.missing:
            raise ValidationError(self.missing)
        return read_pressure(text)


class ChoiceField(SelectField):
    """A list of which one is chosen."""

    def __init__(self, label: str | None = None, validators: Any = None, **kwargs: Any) -> None:
        super().__init__(label, validators, validate_choice=False, **kwargs)


class StrictChoiceField(ChoiceField):
    """A list of which one is chosen; anything else is refused."""

    def pre_validate(self, form: Any) -> None:
        check_choice(self, form)


class RadioChoiceField(RadioField):
    """Buttons of which one is chosen; anything else is refused."""

    def __init__(self, label: str | None = None, validators: Any = None, **kwargs: Any) -> None:
        super().__init__(label, validators, validate_choice=False, **kwargs)

    def pre_validate(self, form: Any) -> None:
        check_choice(self, form)


def choices_of(texts: Iterable[str] | Mapping[str, str]) -> list[SelectChoice]:
    """Returns the choices of a list: from labels by value, or from texts that are both value and label."""
    labels = texts if isinstance(texts, Mapping) else {text: text for text in texts}
    return [SelectChoice(str(value), label) for value, label in labels.items()]


def check_choice(field: Any, form: Any) -> None:
    """Raises ValidationError where what was sent is none of the field's choices."""
    if form.uses_field(field.short_name) and field.data not in {choice.value for choice in field.choices}:
        raise StopValidation(choose_from(choice.label for choice in field.choices))


def max_length(letters: int, _what: str = "") -> Any:
    """Returns a validator of a text's length."""

    def check(_form: Any, field: Any) -> None:
        if len(field.data or "") > letters:
            raise ValidationError(shorten_to(letters, len(field.data)))

    return check
