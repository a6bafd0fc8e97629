"""People who work here."""

import pytest

from app.actions.errors import Refused
from app.actions.shop.office import add_staff


@pytest.mark.parametrize("name", ["", "   ", "x" * 41, "Maren"])
def test_a_person_needs_a_name_of_their_own(session, name):
    add_staff(session, " Maren ")
    with pytest.raises(Refused):
        add_staff(session, name)
