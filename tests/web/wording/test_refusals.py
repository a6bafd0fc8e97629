"""The sentences beside a form that was not saved."""

from app.actions.orders.take import key_taken


def test_a_taken_key_names_the_order_and_its_customer_and_both_ways_on():
    assert key_taken(1007, "Runa Vik").sentence == (
        "Order 1007 for Runa Vik was saved from this form before, and with other contents. "
        "If this is one more order, save again: it gets a number of its own. If not, edit the saved one."
    )
