"""The settings as the help lists them: each with its meaning, its default and what it may be."""

import re
from dataclasses import dataclass

from app.quoting.settings.all_settings import SETTINGS
from app.quoting.settings.setting import Setting
from app.web.formats import Formats
from app.web.garland_mix import shown_mix
from app.web.measures import shown_range, typed_value

DIGITS = 6


@dataclass(frozen=True, slots=True)
class ListedSetting:
    """A setting in words. allowed: the values that it may have."""

    key: str
    label: str
    meaning: str
    default: str
    allowed: str
    source: str


def listed_settings(formats: Formats) -> dict[str, ListedSetting]:
    """Returns every setting by its key."""
    return {setting.key: _listed(setting, formats) for setting in SETTINGS}


def settings_by_group(formats: Formats) -> dict[str, list[ListedSetting]]:
    """Returns the settings by the group in which the office lists them."""
    groups: dict[str, list[ListedSetting]] = {}
    for setting in SETTINGS:
        groups.setdefault(setting.group, []).append(_listed(setting, formats))
    return groups


def group_id(group: str) -> str:
    """Returns the id of a group's section."""
    return "group-" + re.sub(r"[^a-z0-9]+", "-", group.lower()).strip("-")


def _listed(setting: Setting, formats: Formats) -> ListedSetting:
    source = setting.source[:1].upper() + setting.source[1:]
    meaning = formats.in_shop_units(setting.meaning)
    return ListedSetting(
        setting.key, setting.label, meaning, _default(setting, formats), _allowed(setting, formats), source
    )


def _default(setting: Setting, formats: Formats) -> str:
    if setting.key == "garland_mix":
        return shown_mix(str(setting.default), formats.unit("in"))
    if setting.is_text:
        return str(setting.default)
    return _amount(setting, float(setting.default), formats)


def _allowed(setting: Setting, formats: Formats) -> str:
    if setting.choices:
        return " / ".join(setting.choices)
    if setting.key == "zone":
        return "the name of a time zone, for example Europe/London"
    if setting.is_text:
        return f"up to {formats.number(setting.high)} letters"
    if setting.is_money:
        return f"{formats.money(int(setting.low))} to {formats.money(int(setting.high))}"
    unit = formats.unit(setting.unit)
    low, high = shown_range(setting.low, setting.high, unit)
    return f"{formats.number(low, DIGITS)} to {formats.number(high, DIGITS)}{_after_number(unit.name)}"


def _amount(setting: Setting, value: float, formats: Formats) -> str:
    if setting.is_money:
        return formats.money(int(value))
    unit = formats.unit(setting.unit)
    return f"{formats.number(float(typed_value(value, unit)), DIGITS)}{_after_number(unit.name)}"


def _after_number(unit: str) -> str:
    """Returns a unit as it follows a number: “%” closely, others after a blank."""
    return unit if unit in ("", "%") else f" {unit}"
