"""The words of the offer to add weights."""

from types import SimpleNamespace

from app.actions.stock.weights import WeightOffer
from app.quoting.weights_to_add import WeightNeed
from app.web.formats import Formats
from app.web.wording.weights import too_heavy_words, weights_to_add_words

FORMATS = Formats(None, False, False, False, "£", 2)


def test_the_button_names_what_it_adds():
    star, bag = SimpleNamespace(name="Star weight"), SimpleNamespace(name="Sand bag")
    assert weights_to_add_words(WeightOffer((), ((star, 24),), ())) == "Add 24 × Star weight"
    assert weights_to_add_words(WeightOffer((), ((star, 24), (bag, 2)), ())) == (
        "Add 24 × Star weight and 2 × Sand bag"
    )


def test_it_says_when_none_is_heavy_enough():
    said = too_heavy_words(WeightNeed(97.0, 24), FORMATS)
    assert said == f"Supplies has no weight of {FORMATS.grams(97.0)}."
