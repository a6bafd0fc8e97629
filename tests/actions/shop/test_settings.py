"""The list of settings against the code that they set."""

from dataclasses import fields, is_dataclass

import pytest

from app.actions.records.shop import load_shop, setting_values
from app.craft.sizing import AirSizes
from app.craft.weights import Outdoors
from app.physics.endurance import FloatDefaults
from app.physics.leak import Rubber
from app.planning.window import Certainty
from app.planning.work import WorkTimes
from app.quoting.settings.all_settings import SETTINGS
from app.quoting.shop import build_shop

BY_KEY = {setting.key: setting for setting in SETTINGS}
DEFAULTS = {setting.key: setting.default for setting in SETTINGS}


@pytest.mark.parametrize("setting", SETTINGS, ids=lambda setting: setting.key)
def test_every_setting_has_a_meaning_and_a_default_that_it_allows(setting):
    assert setting.group
    assert setting.label
    assert setting.meaning.endswith(".")
    assert setting.check(setting.default) == setting.default
    if not setting.is_text:
        assert setting.low <= setting.default <= setting.high


def test_no_key_stands_twice():
    assert len(BY_KEY) == len(SETTINGS)


@pytest.mark.parametrize("owner", [Rubber, WorkTimes, AirSizes, Certainty, FloatDefaults, Outdoors])
def test_a_shop_with_every_default_has_the_defaults_of_the_code(session, owner):
    assert _built(owner, DEFAULTS, load_shop(session).opening) == owner()


@pytest.mark.parametrize("owner", [Rubber, WorkTimes, FloatDefaults, Outdoors])
def test_every_figure_of_the_code_can_be_corrected(session, owner):
    """Each one has a setting that changes it, down to the parts of a scatter and the limits of light."""
    opening, corrected = load_shop(session).opening, set()
    plain = _figures(_built(owner, DEFAULTS, opening))
    for setting in SETTINGS:
        if not setting.is_text:
            other = setting.low if setting.default != setting.low else setting.high
            changed = _figures(_built(owner, DEFAULTS | {setting.key: other}, opening))
            corrected |= {name for name, value in changed.items() if value != plain[name]}
    assert corrected == set(plain)


def _built(owner, values, opening):
    shop = build_shop(values, opening)
    built = (shop.float_defaults.rubber, shop.work_times, shop.air_sizes, shop.certainty)
    return next(one for one in (*built, shop.outdoors, shop.float_defaults) if isinstance(one, owner))


def _figures(value, name=""):
    """Every figure in it by its place, such as light.sun."""
    if not is_dataclass(value):
        return {name: value}
    parts = ((field.name, getattr(value, field.name)) for field in fields(value))
    return {
        place: figure
        for part, inner in parts
        for place, figure in _figures(inner, f"{name}.{part}".removeprefix(".")).items()
    }


def test_every_setting_reaches_the_shop(session):
    """Each one changed on its own makes another shop: none is a label without an effect."""
    values = setting_values(session)
    opening = load_shop(session).opening
    for setting in SETTINGS:
        if setting.is_text:
            continue
        other = setting.low if values[setting.key] != setting.low else setting.high
        changed, plain = (build_shop(v, opening) for v in (values | {setting.key: other}, values))
        assert _apart_from_told(changed) != _apart_from_told(plain) or setting.key == "currency_decimals"


def _apart_from_told(shop):
    assert is_dataclass(shop)
    return [getattr(shop, field.name) for field in fields(shop) if field.name != "display"]
