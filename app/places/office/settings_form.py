"""The form of the shop's settings: each setting has a field that fits its value."""

from typing import Any

from wtforms.validators import ValidationError

from app.quoting.settings.all_settings import SETTINGS
from app.quoting.settings.setting import Setting
from app.web.formats import Formats
from app.web.forms import MoneyField, NumberField, ShopForm, StrictChoiceField, TypedField, choices_of
from app.web.locales import country_names


class NumberSetting(NumberField):
    """A number in the range of its setting; a whole number if the setting is one."""

    def __init__(self, setting: Setting, **kwargs: Any) -> None:
        super().__init__(setting.label, setting.low, setting.high, setting.unit, **kwargs)
        self.setting = setting

    def read(self, text: str) -> float:
        return float(self.setting.check(super().read(text)))


class MoneySetting(MoneyField):
    """An amount of money in the range of its setting."""

    def __init__(self, setting: Setting, **kwargs: Any) -> None:
        super().__init__(setting.label, **kwargs)
        self.low, self.high = setting.low, setting.high

    def read(self, text: str) -> int:
        minor = super().read(text)
        if not self.low <= minor <= self.high:
            raise ValidationError(f"Enter an amount from {self.written(self.low)} to {self.written(self.high)}.")
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
    rounded values."""

    def uses_field(self, name: str) -> bool:
        """Returns whether the form asks for the field."""
        return bool(self[name].data != self[name].object_data)

    def changes(self) -> dict[str, float | int | str]:
        """Returns the changed values by key. The form must be valid."""
        return {setting.key: self[setting.key].value for setting in SETTINGS if self.uses_field(setting.key)}


for _setting in SETTINGS:
    setattr(SettingsForm, _setting.key, _field_of(_setting))


def typed_settings(values: dict[str, float | int | str], formats: Formats) -> dict[str, str]:
    """Returns the settings as a person types them."""
    return {setting.key: _typed(setting, values[setting.key], formats) for setting in SETTINGS}


def _typed(setting: Setting, value: float | int | str, formats: Formats) -> str:
    """Returns one setting as a person types it."""
    if setting.is_text:
        return str(value)
    return formats.amount(int(value)) if setting.is_money else formats.typed_number(float(value))
