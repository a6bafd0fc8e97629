"""What it costs to leave something unentered, in a sentence."""

import pytest

from app.quoting.missing import Missing
from app.web.formats import Formats
from app.web.wording.missing import COSTS, cost_of_missing

EVERYTHING = Missing(
    name=True,
    zone=True,
    address=True,
    phone=True,
    unpriced=16,
    weights=True,
    cylinders=True,
    staff=True,
    backups=True,
)


def test_everything_that_can_be_missing_has_its_cost(shop):
    assert {*EVERYTHING.things} == {*COSTS, "prices"}


@pytest.mark.parametrize(("unpriced", "said"), [(1, "1 balloon type is"), (16, "16 balloon types are")])
def test_without_a_price_it_is_sold_for_nothing(shop, unpriced, said):
    sentence = cost_of_missing(
        "prices",
        Missing(unpriced=unpriced),
        Formats.of(shop),
    )
    assert sentence == f"No price: {said} sold at £0.00."
