"""The forms of stock: what comes in, what is done with a lot, what is ordered."""

import re
from typing import Any, ClassVar

from wtforms import HiddenField
from wtforms.validators import ValidationError

from app.actions.stock.deliveries import MOST_PACKS
from app.actions.stock.lots import MAX_COUNT, up_to
from app.quoting.errors import Problem, Refused
from app.store.models import Lot
from app.web.forms import (
    AmbiguousNumber,
    DayField,
    Near,
    NumberField,
    ShopForm,
    TextField,
    TypedField,
    WholeField,
    read_number,
    read_whole,
)

SMALLEST = 1e-9

LOT_PAGE_OUT_OF_DATE = "This page is out of date. Reload it and try again."
PIECES_OR_PACKS = "Enter a number of pieces or of packs, not both."


def describe_amounts(low: float, *, whole: bool) -> str:
    """Returns the sentence that says which amounts a field takes."""
    return f"Enter {'a whole number' if whole else 'a number'} from {low:g} to {MAX_COUNT:,.0f}."


class AmountField(TypedField[float]):
    """An amount of an article, whole if it comes in pieces. what: how its sentence then names it."""

    def __init__(self, label: str, low: float, *, what: str, **kwargs: Any) -> None:
        super().__init__(label, **kwargs)
        self.low, self.what, self.whole = low, what, False

    def set_whole(self, *, whole: bool) -> None:
        """Sets whether the field asks for pieces, or for any amount."""
        self.whole = whole
        if whole:
            self.low = int(self.low + 0.99)

    def read(self, text: str) -> float:
        try:
            if self.whole:
                return read_whole(text, int(self.low), int(MAX_COUNT), self.what)
            return read_number(text, self.low, MAX_COUNT, "")
        except AmbiguousNumber:
            raise
        except ValidationError:
            raise ValidationError(describe_amounts(self.low, whole=self.whole)) from None


class ReceiveForm(ShopForm):
    """What came in, in pieces or in packs."""

    colour = TextField("Colour")
    count = AmountField("How many", 0.01, what="How many")
    packs = WholeField("Or packs", 1, 10_000, what="Packs", optional=True)
    day = DayField("Received on", any_year=True, near=Near.PAST)

    def uses_field(self, name: str) -> bool:
        """Returns whether the form asks for the field."""
        return name != "count" or not self.packs.text

    def validate_packs(self, field: Any) -> None:
        if field.text and self.count.text:
            raise ValidationError(PIECES_OR_PACKS)


class LotForm(ShopForm):
    """What is done with a lot. seen: how much of it the page showed."""

    seen = HiddenField()

    def prepare(self, lot: Lot) -> None:
        """Sets the ranges that depend on the lot. Raises Refused."""

    def shows_fields(self, _lot: Lot) -> bool:
        """Returns whether the page of such a lot has the fields of this form."""
        return True

    @property
    def seen_amount(self) -> float:
        """Returns how much of the lot the page showed. Raises Refused."""
        text = self.seen.data or ""
        if not re.fullmatch(r"-?[0-9]{1,9}(\.[0-9]{1,20})?", text):
            raise Refused(Problem("count", LOT_PAGE_OUT_OF_DATE))
        return float(text)


class CountForm(LotForm):
    """How much is really there. counts: how often it had been counted when the page was made."""

    counts = HiddenField()
    count = AmountField("Counted", 0, what="Counted")
    why = TextField("Reason")

    def prepare(self, lot: Lot) -> None:
        self.count.set_whole(whole=lot.balloon_type_id is not None)


class AsideForm(LotForm):
    """Why a lot is put away."""

    WATER_WEIGHTS: ClassVar = "For water weights and practice"

    why = TextField("Reason to put it away", name="why-aside", default=WATER_WEIGHTS)

    def shows_fields(self, lot: Lot) -> bool:
        return lot.set_aside_at is None


class UseForm(LotForm):
    """How much of a lot that is put away was used, and for what."""

    field_names: ClassVar = {"count": "used"}

    used = NumberField("Used", SMALLEST, MAX_COUNT)
    why = TextField("Used for", name="why-used", default="Water weights")

    def prepare(self, lot: Lot) -> None:
        self.used.high = lot.on_hand if lot.on_hand == self.seen_amount else MAX_COUNT
        self.used.error_sentence = up_to(self.used.high)

    def shows_fields(self, lot: Lot) -> bool:
        return lot.set_aside_at is not None


class BuyForm(ShopForm):
    """A row of the buying list, whose place ends the names of its fields. what: its article."""

    field_names: ClassVar = {"due_on": "due"}

    what = HiddenField()
    colour = HiddenField()
    packs = WholeField("Packs", 1, MOST_PACKS)
    due = DayField("Delivery day", any_year=True)


class ArrivalForm(ShopForm):
    """What came of a delivery, whose number ends the name of its field."""

    count = AmountField("Received", 0.01, what="Received")
