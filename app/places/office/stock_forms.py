"""The forms of stock: what comes in, what is done with a lot, what is ordered."""

import re
from typing import Any, ClassVar

from wtforms import HiddenField
from wtforms.validators import ValidationError

from app.actions.stock.articles import Article
from app.actions.stock.deliveries import MOST_PACKS
from app.actions.stock.lots import MAX_COUNT, up_to
from app.quoting.catalogue import Catalogue
from app.quoting.errors import Problem, Refused
from app.store.models import Lot
from app.web.forms import (
    AmbiguousNumber,
    CountedField,
    DayField,
    Near,
    ShopForm,
    TextField,
    WholeField,
    read_whole,
)
from app.web.measures import shown_count, shown_range
from app.web.requests import request_context
from app.web.wording.stock import COUNTED_IN

SMALLEST = 1e-9

LOT_PAGE_OUT_OF_DATE = "This page is out of date. Reload it and try again."
PIECES_OR_PACKS = "Enter a number of pieces or of packs, not both."


def describe_amounts(low: float, high: float = MAX_COUNT, unit: str = "", *, whole: bool) -> str:
    """Returns the sentence that says which amounts a field takes."""
    return f"Enter {'a whole number' if whole else 'a number'} from {f'{low:g} to {high:,.0f} {unit}'.strip()}."


class AmountField(CountedField):
    """An amount of an article, whole if it comes in pieces, in the shop's unit if it has a length.

    what: how its sentence then names it. seen: the amount that the page shows, so that this one is meant where the
    rounded number of the page is typed.
    """

    seen: float | None = None

    def __init__(self, label: str, low: float, *, what: str, **kwargs: Any) -> None:
        super().__init__(label, low, MAX_COUNT, **kwargs)
        self.what, self.whole = what, False

    def set_article(self, article: Article, catalogue: Catalogue, *, whole: bool | None = None) -> None:
        """Sets in which unit the field asks for the article. whole: by default, whether it is a balloon type."""
        self.set_unit(COUNTED_IN[article.unit(catalogue)])
        self.whole = bool(article.balloon_type_id) if whole is None else whole
        if self.whole:
            self.low = int(self.low + 0.99)

    def read(self, text: str) -> float:
        try:
            if self.whole:
                return read_whole(text, int(self.low), int(self.high), self.what)
            return self._read_amount(text)
        except AmbiguousNumber:
            raise
        except ValidationError:
            low, high = shown_range(self.low, self.high, self.shown_unit)
            raise ValidationError(describe_amounts(low, high, self.unit, whole=self.whole)) from None

    def _read_amount(self, text: str) -> float:
        """Returns the amount; the one that the page shows if its rounded number was typed. Raises
        ValidationError."""
        seen = self.seen
        if seen is not None and self.low <= seen <= self.high and text == self.written(seen):
            return seen
        return self.read_number(text, self.low, self.high)


def article_of(lot: Lot) -> Article:
    """Returns the article of the lot."""
    return Article(lot.balloon_type_id or 0, lot.supply_id or 0)


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
        self.count.set_article(article_of(lot), request_context().catalogue)
        self.count.seen = self.seen_amount


class AsideForm(LotForm):
    """Why a lot is put away."""

    WATER_WEIGHTS: ClassVar = "For water weights and practice"

    why = TextField("Reason to put it away", name="why-aside", default=WATER_WEIGHTS)

    def shows_fields(self, lot: Lot) -> bool:
        return lot.set_aside_at is None


class UseForm(LotForm):
    """How much of a lot that is put away was used, and for what."""

    field_names: ClassVar = {"count": "used"}

    used = AmountField("Used", SMALLEST, what="Used")
    why = TextField("Used for", name="why-used", default="Water weights")

    def prepare(self, lot: Lot) -> None:
        self.used.set_article(article_of(lot), request_context().catalogue, whole=False)
        self.used.high = lot.on_hand if lot.on_hand == self.seen_amount else MAX_COUNT
        self.used.seen = self.seen_amount
        self.used.error_sentence = up_to(shown_count(self.used.high, self.used.shown_unit), self.used.unit)

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

    @classmethod
    def expecting(cls, count: float, article: Article, catalogue: Catalogue, delivery_id: int) -> "ArrivalForm":
        """Returns the form of a delivery, with what is expected filled in."""
        form = cls(data={"count": count}, suffix=delivery_id)
        form.count.set_article(article, catalogue)
        return form
