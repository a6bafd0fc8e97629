"""People who work here."""

import pytest

from app.actions.shop.office import add_staff
from app.quoting.errors import Refused


@pytest.mark.parametrize("name", ["", "   ", "x" * 41, "Maren"])
def test_a_person_needs_a_name_of_their_own(session, name):
    add_staff(session, " Maren ")
    with pytest.raises(Refused):
        add_staff(session, name)
