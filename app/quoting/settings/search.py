"""The search over all settings by plain words."""

import re
import unicodedata
from collections.abc import Iterable

from app.quoting.settings.all_settings import SETTINGS
from app.quoting.settings.setting import Setting

OTHER_WORDS = {
    "zone": "timezone clock city summer winter daylight saving",
    "name": "title business receipt invoice bill",
    "shop_address": "postcode receipt invoice bill",
    "shop_phone": "telephone number mobile receipt invoice bill",
    "set_up_minor": "fee",
    "take_down_minor": "fee",
    "delivery_minor": "van driver charge fee",
    "caution": "safety warning choking",
    "tax_mode": "vat gst sales",
    "tax_percent": "vat gst sales",
    "deposit_percent": "advance prepayment down payment",
    "cancellation_fee_percent": "refund cancel",
    "floor_percent": "margin minimum too low cheap discount discounts",
    "markup_percent": "margin profit",
    "price_step_minor": "round rounding",
    "treat_minor": "treated coating gel longer",
    "hour_minor": "wage wages pay salary labour",
    "helium_m3_minor": "gas price",
    "delivery_weekday": "supplier order buying shopping",
    "delivery_lead_days": "supplier buying",
    "old_lot_months": "expired age shelf",
    "holding_area_room": "space full storage",
    "cylinder_residual_bar": "empty bottle tank",
    "gas_tolerance_percent": "leak loss",
    "handle_seconds": "tie tying knot speed",
    "helium_points": "nozzle nozzles regulators inflator",
    "air_points": "pump pumps compressor",
    "finishing_minutes": "assembly packing",
    "spares_percent": "burst bursts pop popped broken extra",
    "soon_minutes": "reminder alarm late",
    "crew": "team people staff",
    "venue_travel_minutes": "drive driving distance",
    "shop_elevation_m": "height sea level",
    "shop_celsius": "heating warm cold room",
    "journey_celsius": "car transport",
    "certainty_percent": "chance probability risk",
    "lower_limit_percent": "chance probability risk",
    "locale": "country language format decimal comma dates numbers",
    "currency_symbol": "money dollar pound euro",
    "currency_code": "money dollar pound euro",
    "temperature": "fahrenheit celsius degrees",
    "length": "inch inches cm size",
    "measures": "metric imperial feet ounces grams",
    "clock": "am pm 12 24 hour",
    "wind_limit_m_s": "storm breeze weather",
    "light_hours_sun": "oxidise fade uv",
}
"""Words by which a setting is also known."""
ONLY_JOIN = frozenset(
    [
        "a",
        "an",
        "and",
        "are",
        "at",
        "by",
        "do",
        "for",
        "from",
        "how",
        "i",
        "in",
        "is",
        "it",
        "much",
        "my",
        "of",
        "on",
        "or",
        "our",
        "the",
        "to",
        "we",
        "what",
        "when",
    ]
)
"""Words that say nothing about what is looked for."""


def find_settings(typed: str, settings: Iterable[Setting] = SETTINGS) -> list[Setting]:
    """Returns the settings that have every word at the beginning of one of theirs: first those with most of the
    words whole, in their label or anywhere, then those with most in their label. Returns none if no word was
    typed."""
    words = search_words(typed)
    if not words:
        return []
    found = [(_nearness(one, words), one) for one in settings if has_all_words(_text_of(one), words)]
    return [one for _, one in sorted(found, key=lambda pair: pair[0], reverse=True)]


def search_words(typed: str) -> list[str]:
    """Returns the words of a text, without case and accents; words that only join others are left out, unless there
    are no others."""
    words = _fold(typed)
    return [word for word in words if word not in ONLY_JOIN] or words


def _nearness(setting: Setting, words: list[str]) -> tuple[int, ...]:
    """Returns how many of the words stand whole in its label, how many in its text, and how many begin one of its
    label."""
    label, text = _fold(setting.label), _fold(_text_of(setting))
    whole = [sum(word in where for word in words) for where in (label, text)]
    return (*whole, sum(_has(setting.label, word) for word in words))


def _text_of(setting: Setting) -> str:
    return " ".join((setting.label, setting.meaning, setting.group, OTHER_WORDS.get(setting.key, "")))


def has_all_words(text: str, words: Iterable[str]) -> bool:
    """Returns whether each of the words begins one of the text."""
    return all(_has(text, word) for word in words)


def _has(text: str, word: str) -> bool:
    """Returns whether a word of the text begins with this one; “setup” finds “set-up”."""
    return any(one.startswith(word) for one in _fold(text)) or word in _fold(text.replace("-", ""))


def _fold(text: str) -> list[str]:
    plain = "".join(one for one in unicodedata.normalize("NFKD", text.casefold()) if not unicodedata.combining(one))
    return re.findall(r"[^\W_]+", plain)
