"""The one form toolkit: what a person types becomes a value, or one sentence at its field and in the summary."""

from app.web.forms.dates import Near
from app.web.forms.fields import (
    ChoiceField,
    DayField,
    MoneyField,
    NumberField,
    ParsedField,
    PressureField,
    RadioChoiceField,
    StrictChoiceField,
    TemperatureField,
    TextField,
    TypedField,
    WholeField,
    choices_of,
    max_length,
)
from app.web.forms.measured import MeasuredField, MeasureField, WindField
from app.web.forms.moments import MomentForm, TimeRangeForm
from app.web.forms.reading import (
    read_hour,
    read_id,
    read_money,
    read_number,
    read_plain_number,
    read_pressure,
    read_time_range,
    read_whole,
    read_wind,
    sent_client_key,
)
from app.web.forms.separators import AmbiguousNumber
from app.web.forms.shop_form import FormGroup, ShopForm, ShownProblem, add_sentence, show_problems

__all__ = [
    "AmbiguousNumber",
    "ChoiceField",
    "DayField",
    "FormGroup",
    "MeasureField",
    "MeasuredField",
    "MomentForm",
    "MoneyField",
    "Near",
    "NumberField",
    "ParsedField",
    "PressureField",
    "RadioChoiceField",
    "ShopForm",
    "ShownProblem",
    "StrictChoiceField",
    "TemperatureField",
    "TextField",
    "TimeRangeForm",
    "TypedField",
    "WholeField",
    "WindField",
    "add_sentence",
    "choices_of",
    "max_length",
    "read_hour",
    "read_id",
    "read_money",
    "read_number",
    "read_plain_number",
    "read_pressure",
    "read_time_range",
    "read_whole",
    "read_wind",
    "sent_client_key",
    "show_problems",
]
