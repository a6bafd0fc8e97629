"""A line of the order form."""

from wtforms import BooleanField, Form, SelectField, StringField
from wtforms.validators import ValidationError

from app.physics.balloon import Gas
from app.places.counter.choices import GASES
from app.places.counter.goods_search import Found
from app.quoting.request import LineRequest
from app.web.forms import at_most, read_id, read_whole

MOST_OF_A_LINE = 5000


class LineForm(Form):
    """One line. A line left blank is no line."""

    find = StringField("Name or part", [at_most(80, "A name takes")])
    what = SelectField("What", validate_choice=False)
    quantity = StringField("How many")
    colours = StringField("Colours", [at_most(200, "Colours take")])
    gas = SelectField("Gas", choices=GASES, default="helium", validate_choice=False)
    treated = BooleanField("Treated")
    later = BooleanField("Later part")

    found: Found | None = None
    """What the typed name or part may be, while it is not settled."""

    @property
    def is_blank(self) -> bool:
        return not any((field.data or "").strip() for field in (self.find, self.what, self.quantity, self.colours))

    def choose(self, what: str) -> None:
        self.what.data, self.find.data = what, ""

    def read(self) -> LineRequest | None:
        """The line, or None with a sentence at each field that is wrong."""
        quantity = self._read_quantity()
        balloon_type, _, key = (self.what.data or "").partition(":")
        chosen = read_id(key)
        if balloon_type not in ("balloon_type", "design") or not chosen:
            self.what.errors = [*self.what.errors, "Choose what it is, or empty the line."]
            return None
        if quantity is None:
            return None
        return LineRequest(
            balloon_type_id=chosen if balloon_type == "balloon_type" else None,
            design_id=chosen if balloon_type == "design" else None,
            quantity=quantity,
            colours=" ".join((self.colours.data or "").split()),
            gas=Gas.AIR if self.gas.data == Gas.AIR and balloon_type == "balloon_type" else Gas.HELIUM,
            treated=bool(self.treated.data),
            later=bool(self.later.data),
        )

    def _read_quantity(self) -> int | None:
        try:
            return read_whole(self.quantity.data or "", 1, MOST_OF_A_LINE, "How many")
        except ValidationError as wrong:
            self.quantity.errors = [*self.quantity.errors, str(wrong)]
            return None
