"""A line of the order form."""

from typing import Any

from wtforms import BooleanField
from wtforms.validators import ValidationError

from app.physics.balloon import Gas
from app.places.counter.choices import GASES
from app.places.counter.goods_search import GoodsMatches
from app.quoting.request import MOST_HUNG_G, LineRequest
from app.web.forms import ChoiceField, MeasureField, ShopForm, TextField, WholeField, max_length, read_id

MOST_OF_A_LINE = 5000
CHOOSE_GOODS = "Choose a design or balloon, or clear the line."


class LineForm(ShopForm):
    """One line. A blank row is no line."""

    find = TextField("Find a design or balloon", [max_length(80, "A name takes")])
    what = ChoiceField("Design or balloon")
    quantity = WholeField("Quantity", 1, MOST_OF_A_LINE)
    colours = TextField("Colours", [max_length(200, "Colours take")])
    gas = ChoiceField("Gas", choices=GASES, default="helium")
    treated = BooleanField("Treated")
    later = BooleanField("Later part")
    hung_g = MeasureField("Gift or card on each", 0, MOST_HUNG_G, "g", empty=0.0)

    found: GoodsMatches | None = None
    """What the typed name or part may mean, until one is chosen."""

    @property
    def is_blank(self) -> bool:
        """Whether nothing was typed in the row."""
        typed = (self.find, self.what, self.quantity, self.colours, self.hung_g)
        return not any((field.data or "").strip() for field in typed)

    def choose(self, what: str) -> None:
        """Chooses a balloon type or a design."""
        self.what.data, self.find.data = what, ""

    def uses_field(self, name: str) -> bool:
        """Returns whether the row asks for the field."""
        return name != "quantity" or not self.is_blank

    def validate_what(self, _field: Any) -> None:
        if not self.is_blank and self._chosen is None:
            raise ValidationError(CHOOSE_GOODS)

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
        )
