"""The one form toolkit: what a person types becomes a value, or one sentence at its field and in the summary."""

from app.web.forms.fields import (
    ChoiceField,
    DayField,
    KnownChoiceField,
    MoneyField,
    NumberField,
    PickField,
    PressureField,
    ReadField,
    TextField,
    TypedField,
    WarmthField,
    WholeField,
    WindField,
    at_most,
    choices_of,
)
from app.web.forms.moments import MomentForm, SpanForm
from app.web.forms.reading import (
    read_hour,
    read_money,
    read_number,
    read_pressure,
    read_span,
    read_whole,
    read_wind,
)
from app.web.forms.sent import read_id, tap_key
from app.web.forms.shop_form import ShopForm, ShownProblem, show_problems, tell

__all__ = [
    "ChoiceField",
    "DayField",
    "KnownChoiceField",
    "MomentForm",
    "MoneyField",
    "NumberField",
    "PickField",
    "PressureField",
    "ReadField",
    "ShopForm",
    "ShownProblem",
    "SpanForm",
    "TextField",
    "TypedField",
    "WarmthField",
    "WholeField",
    "WindField",
    "at_most",
    "choices_of",
    "read_hour",
    "read_id",
    "read_money",
    "read_number",
    "read_pressure",
    "read_span",
    "read_whole",
    "read_wind",
    "show_problems",
    "tap_key",
    "tell",
]
