"""This module words the offer to add the weights that an order outdoors needs."""

from app.actions.stock.weights import WeightOffer
from app.quoting.weights_to_add import WeightNeed
from app.web.formats import Formats


def weights_to_add_words(offer: WeightOffer) -> str:
    """Returns the words of the button: “Add 24 × Weight 100 g”."""
    return f"Add {' and '.join(f'{count} × {row.name}' for row, count in offer.chosen)}"


def too_heavy_words(need: WeightNeed, formats: Formats) -> str:
    """Returns what is said if no weight on sale is heavy enough."""
    return f"Supplies has no weight of {formats.grams(need.grams)}."
