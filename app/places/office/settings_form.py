"""The form of the shop's settings: each setting has a field that fits its value."""

from collections.abc import Mapping
from typing import Any

from wtforms import HiddenField
from wtforms.validators import ValidationError

from app.quoting.settings.all_settings import SETTINGS
from app.quoting.settings.setting import Setting
from app.web.formats import Formats
from app.web.forms import MeasuredField, MoneyField, ShopForm, StrictChoiceField, TypedField, choices_of
from app.web.locales import country_names
from app.web.wording.forms import PAGE_OUT_OF_DATE

AMOUNT_OUT_OF_RANGE = "Enter an amount from {low} to {high}."


class NumberSetting(MeasuredField[float]):
    """A number in the range of its setting; a whole number if the setting is one."""

    def __init__(self, setting: Setting, **kwargs: Any) -> None:
        self.kept_unit = setting.unit
        super().__init__(setting.label, **kwargs)
        self.setting = setting

    def read(self, text: str) -> float:
        return float(self.setting.check(self.read_number(text, self.setting.low, self.setting.high)))


class MoneySetting(MoneyField):
    """An amount of money in the range of its setting."""

    def __init__(self, setting: Setting, **kwargs: Any) -> None:
        super().__init__(setting.label, **kwargs)
        self.low, self.high = setting.low, setting.high

    def read(self, text: str) -> int:
        minor = super().read(text)
        if not self.low <= minor <= self.high:
            raise ValidationError(
                AMOUNT_OUT_OF_RANGE.format(low=self.written(self.low), high=self.written(self.high))
            )
        return minor


class TextSetting(TypedField[str]):
    """A text that the setting allows."""

    def __init__(self, setting: Setting, **kwargs: Any) -> None:
        super().__init__(setting.label, **kwargs)
        self.setting = setting

    def read(self, text: str) -> str:
        return str(self.setting.check(text))


class ChoiceSetting(StrictChoiceField):
    """One of the choices of its setting."""

    def __init__(self, setting: Setting, **kwargs: Any) -> None:
        labels = country_names(setting.choices) if setting.key == "locale" else setting.labels
        super().__init__(setting.label, choices=choices_of(labels), **kwargs)

    @property
    def value(self) -> str:
        """The chosen value."""
        return str(self.data)


def _field_of(setting: Setting) -> Any:
    """Returns the field for the setting."""
    if setting.choices:
        return ChoiceSetting(setting)
    if setting.is_text:
        return TextSetting(setting)
    return MoneySetting(setting) if setting.is_money else NumberSetting(setting)


class SettingsForm(ShopForm):
    """A field for each setting, under its key. A field with its former text is not read, because the page shows
    rounded values. shown_measures: the measures in which the page was shown."""

    shown_measures = HiddenField("")

    def validate_shown_measures(self, field: Any) -> None:
        if field.data != field.object_data:
            raise ValidationError(PAGE_OUT_OF_DATE)

    def uses_field(self, name: str) -> bool:
        """Returns whether the form asks for the field."""
        field = self[name]
        former = field.filled_in_text if isinstance(field, MeasuredField) else field.object_data
        return bool(field.data != former)

    def changes(self) -> dict[str, float | int | str]:
        """Returns the changed values by key. The form must be valid."""
        return {setting.key: self[setting.key].value for setting in SETTINGS if self.uses_field(setting.key)}


for _setting in SETTINGS:
    setattr(SettingsForm, _setting.key, _field_of(_setting))


def fill_in_settings(values: Mapping[str, float | int | str], formats: Formats) -> dict[str, float | int | str]:
    """Returns what fills in the form of these settings."""
    amounts = {one.key: formats.amount(int(values[one.key])) for one in SETTINGS if one.is_money}
    return {**values, **amounts, "shown_measures": values["measures"]}
