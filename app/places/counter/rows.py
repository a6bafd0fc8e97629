"""The rows of the order form: how many an order may have, and what is said when it has more."""

from typing import Any

from wtforms import FieldList

from app.web.wording.forms import too_many_rows

MOST_ROWS_SHOWN = 120
"""Rows beyond what an order may have are still shown, up to these, so that nothing typed is lost."""


class RowList(FieldList):
    """Rows of which an order may have at most `most`. is_full: whether one more was asked for than it may have."""

    def __init__(self, row: Any, label: str, most: int, **kwargs: Any) -> None:
        super().__init__(row, label, max_entries=MOST_ROWS_SHOWN, **kwargs)
        self.most = most
        self.is_full = False
        self._sent = 0

    def process(self, formdata: Any, *args: Any, **kwargs: Any) -> None:
        self._sent = len(set(self._extract_indices(self.name, formdata))) if formdata else 0
        super().process(formdata, *args, **kwargs)

    def has_room(self) -> bool:
        """Returns whether one more row fits; if not, the page says so."""
        self.is_full = len(self) >= self.most
        return not self.is_full

    @property
    def too_many(self) -> str:
        """The sentence if there are more rows than an order may have; empty if not."""
        count = max(self._sent, len(self))
        return too_many_rows(self.label.text.lower() + "s", self.most, count) if count > self.most else ""
