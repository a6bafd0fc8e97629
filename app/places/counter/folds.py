"""Which parts of the order form are open because they hold something; the others are folded behind a summary."""

from collections.abc import Collection
from typing import Any

from app.physics.light import Surroundings


class OrderFolds:
    """Mixed into the order form, whose fields these are."""

    surroundings: Any
    venue_warmth: Any
    venue_elevation: Any
    venue_wind: Any
    notes: Any
    latex_allergy: Any
    return_by: Any
    take_down_at: Any
    accepted_risk: Any
    bench_override: Any
    stock_override: Any

    @property
    def venue_is_unusual(self) -> bool:
        """Whether more is known of the venue than that it is indoors, or something about it is wrong."""
        fields = (self.venue_warmth, self.venue_elevation, self.venue_wind)
        return self.surroundings.data != Surroundings.INDOORS or _hold_anything(*fields)

    @property
    def has_notes(self) -> bool:
        """Whether notes or a latex allergy were entered, or are wrong."""
        return _hold_anything(self.notes, self.latex_allergy)

    @property
    def has_return_times(self) -> bool:
        """Whether a time for rented items or a take-down was typed, or is asked for."""
        return _hold_anything(*self.return_by.form, *self.take_down_at.form)

    @property
    def has_reasons(self) -> bool:
        """Whether a reason for saving the order as it is was typed, or is missing."""
        return _hold_anything(*self._reasons.values())

    def asked_reasons(self, needed: Collection[str]) -> list[str]:
        """Returns the reasons that are asked for: the needed ones, and those that were typed or are missing."""
        return [name for name, field in self._reasons.items() if name in needed or _hold_anything(field)]

    @property
    def _reasons(self) -> dict[str, Any]:
        return {name: getattr(self, name) for name in ("accepted_risk", "bench_override", "stock_override")}


def _hold_anything(*fields: Any) -> bool:
    return any(field.data or field.errors for field in fields)
