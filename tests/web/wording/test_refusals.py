"""The sentences beside a form that was not saved."""

from app.actions.orders.take import key_taken
from app.web.wording.forms import too_many_photos, too_many_rows
from app.web.wording.orders import SAVED_MEANWHILE


def test_too_many_rows_or_photos_say_how_many_there_are_and_what_to_do():
    assert too_many_rows("lines", 40, 43) == (
        "An order has at most 40 lines; this one has 43. Remove 3 and save the rest as another order."
    )
    assert too_many_photos(10, 12) == (
        "No photo was saved: 12 were sent, and at most 10 go together. Send them in several turns."
    )


def test_a_taken_key_names_the_order_and_its_customer_and_both_ways_on():
    assert key_taken(1007, "Runa Vik").sentence == (
        "Order 1007 for Runa Vik was saved from this form before, and with other contents. "
        "If this is one more order, save again: it gets a number of its own. If not, edit the saved one."
    )


def test_who_saves_over_another_is_told_so():
    assert SAVED_MEANWHILE == (
        "Somebody else saved this order while you were typing. Save again to replace their changes."
    )
