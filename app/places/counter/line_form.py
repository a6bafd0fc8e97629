"""A line of the order form."""

import re
from typing import Any

from wtforms import BooleanField, HiddenField
from wtforms.validators import ValidationError

from app.physics.balloon import Gas
from app.places.counter.choices import GASES
from app.places.counter.goods_search import GoodsMatch, GoodsMatches
from app.quoting.catalogue import Catalogue
from app.quoting.request import MOST_HUNG_G, LineRequest, PartSwap
from app.quoting.swaps import describe_swaps
from app.web.forms import ChoiceField, MeasureField, ShopForm, TextField, WholeField, max_length, read_id

MOST_OF_A_LINE = 5000
CHOOSE_GOODS = "Choose a design or balloon, or clear the line."
CHOOSE_AGAIN = "Choose the design again."


class LineForm(ShopForm):
    """One line. A blank row is no line."""

    find = TextField("Find", [max_length(80, "A name takes")])
    what = ChoiceField("Design or balloon")
    quantity = WholeField("Quantity", 1, MOST_OF_A_LINE)
    colours = TextField("Colours", [max_length(200, "Colours take")])
    gas = ChoiceField("Gas", choices=GASES, default="helium")
    treated = BooleanField("Treated")
    later = BooleanField("Later part")
    hung_g = MeasureField("Gift or card on each", 0, MOST_HUNG_G, "g", empty=0.0)
    swaps = HiddenField()

    found: GoodsMatches | None = None
    """What the typed name or part may mean, until one is chosen."""
    taken: GoodsMatch | None = None
    """What was just chosen for the line, to be named beside it."""
    swapped = ""
    """What the design has instead of its own balloons, in words."""

    @property
    def is_blank(self) -> bool:
        """Whether nothing was typed in the row."""
        typed = (self.find, self.what, self.quantity, self.colours, self.hung_g)
        return not any((field.data or "").strip() for field in typed)

    @property
    def is_unusual(self) -> bool:
        """Whether the line asks for more than helium, or something about that is wrong."""
        fields = (self.treated, self.later, self.hung_g)
        return self.gas.data == Gas.AIR or any(field.data or field.errors for field in fields)

    def choose(self, what: str) -> None:
        """Chooses a balloon type or a design."""
        self.what.data, self.find.data = what, ""

    @property
    def chosen_swaps(self) -> tuple[PartSwap, ...]:
        """What the chosen design has instead of its own balloons; nothing if another design was chosen since, or if
        it cannot be read, which the field of the design says."""
        return _read_swaps(self.swaps.data or "", self.what.data or "") or ()

    def describe_swaps(self, catalogue: Catalogue) -> None:
        """Says what the design has instead of its own balloons, if the shop knows these balloon types."""
        swaps = self.chosen_swaps
        known = all({swap.was, swap.now} <= catalogue.balloon_types.keys() for swap in swaps)
        self.swapped = describe_swaps(swaps, catalogue) if known else ""

    def uses_field(self, name: str) -> bool:
        """Returns whether the row asks for the field."""
        return name != "quantity" or not self.is_blank

    def validate_what(self, _field: Any) -> None:
        if not self.is_blank and self._chosen is None:
            raise ValidationError(CHOOSE_GOODS)
        if _read_swaps(self.swaps.data or "", self.what.data or "") is None:
            raise ValidationError(CHOOSE_AGAIN)

    @property
    def _chosen(self) -> tuple[str, int] | None:
        """Whether a balloon type or a design is chosen, and which; None if nothing is chosen."""
        sort, _, key = (self.what.data or "").partition(":")
        return (sort, read_id(key)) if sort in ("balloon_type", "design") and read_id(key) else None

    def line(self) -> LineRequest | None:
        """Returns the line; None if it is wrong. Call it once the form is validated."""
        quantity, chosen = self.quantity.value_or_none, self._chosen
        if quantity is None or chosen is None:
            return None
        sort, key = chosen
        return LineRequest(
            balloon_type_id=key if sort == "balloon_type" else None,
            design_id=key if sort == "design" else None,
            quantity=quantity,
            colours=" ".join((self.colours.data or "").split()),
            gas=Gas.AIR if self.gas.data == Gas.AIR and sort == "balloon_type" else Gas.HELIUM,
            treated=bool(self.treated.data),
            later=bool(self.later.data),
            hung_g=round(self.hung_g.value_or_none or 0.0, 2),
            swaps=self.chosen_swaps,
        )


def write_swaps(line: LineRequest) -> str:
    """Returns what the line's design has instead of its own balloons, as the form carries it: “design:3
    4>6:helium,5>6:helium”. Returns an empty text if it has its own."""
    swaps = ",".join(f"{swap.was}>{swap.now}:{swap.gas}" for swap in line.swaps)
    return f"design:{line.design_id} {swaps}" if swaps else ""


def _read_swaps(text: str, what: str) -> tuple[PartSwap, ...] | None:
    """Returns the swaps that the form carries for the chosen design; none if they are for another. Returns None if
    they cannot be read."""
    design, _, swaps = text.partition(" ")
    if not text or design != what:
        return ()
    found = [re.fullmatch(r"([0-9]{1,9})>([0-9]{1,9}):(helium|air)", one) for one in swaps.split(",")]
    return tuple(PartSwap(int(one[1]), int(one[2]), Gas(one[3])) for one in found if one) if all(found) else None
