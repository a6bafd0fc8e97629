"""What is said of balloons that cannot carry what hangs on them."""

import pytest

from app.actions.records.catalogue import load_catalogue
from app.quoting.errors import Refused
from app.quoting.quote import make_quote
from tests.actions.builders import MORNING, design_line, line, new_design, order_request, problems


def _said(catalogue, shop, wanted):
    with pytest.raises(Refused) as refusal:
        make_quote(order_request(catalogue, wanted), shop, catalogue, MORNING)
    return problems(refusal)


def test_the_load_is_named_where_it_holds_a_balloon_down(catalogue, shop):
    assert _said(catalogue, shop, line(catalogue, hung_g=20.5)) == {
        ("hung_g", 0): [
            "11 in latex does not float at 0\u00a0m with 21.25\u00a0g on each. Choose a larger balloon, or hang"
            " less on it."
        ]
    }


def test_a_gift_on_a_design_has_its_place(session, catalogue, shop):
    design = new_design(session, catalogue)
    assert _said(load_catalogue(session), shop, design_line(design, hung_g=2.0)) == {
        ("hung_g", 0): ["Enter it in the design, in Office, Designs, and leave this field blank."]
    }
