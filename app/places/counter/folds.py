"""Which parts of the order form are open because they hold something; the others are folded behind a summary."""

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


def _hold_anything(*fields: Any) -> bool:
    return any(field.data or field.errors for field in fields)
