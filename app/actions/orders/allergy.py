"""An allergy to latex goes from an order to its customer, and from a customer to their order."""

from app.actions.context import Context
from app.actions.orders.customer_history import CustomerDetails, write_customer_history
from app.actions.orders.customers import is_made_by
from app.store.models import Customer, Order


def share_allergy(context: Context, order: Order, chosen_id: int | None) -> None:
    """Sets a latex allergy of the order on its customer, or one of the customer on the order.

    The order gets it only if its customer was found by name and phone when it was saved, because the form could not
    show it. If the customer was chosen, the form did show it, and an order without it is meant so.
    """
    customer = context.session.get(Customer, order.customer_id) if order.customer_id else None
    if customer is None:
        return
    if customer.latex_allergy and customer.id != chosen_id:
        order.latex_allergy = True
    if order.latex_allergy and not customer.latex_allergy:
        before = CustomerDetails.of(customer)
        customer.latex_allergy = True
        # A customer whom this order has made has no history yet: with one, a slip could not be removed again.
        if not is_made_by(context.session, customer, order.id or 0):
            changes = before.changes(CustomerDetails.of(customer))
            write_customer_history(context, customer, f"changed with order {order.number}", changes)
