"""Counter: a customer's page, with their orders, their history, and possible duplicates."""

from collections.abc import Sequence

from flask import Blueprint, Response, flash, make_response, redirect, render_template, request, url_for
from wtforms import BooleanField, FieldList, HiddenField

from app.actions.errors import CustomerChangedMeanwhile, MergedMeanwhile
from app.actions.orders.customer_history import CustomerDetails, history_of_customer
from app.actions.orders.customers import MOST_PHONES, change_customer, load_customer, merge_customers
from app.places.counter.order_now import rows_now
from app.quoting.errors import Refused
from app.store.models import Customer
from app.store.queries.customers import find_duplicates, past_orders
from app.store.search_keys import phone_key
from app.web.forms import ShopForm, TextField, read_id
from app.web.htmx import see_other
from app.web.requests import request_context

YES = "y"


class CustomerForm(ShopForm):
    """shown_…: what the page showed when it was opened, so that nobody else's change is lost."""

    name = TextField("Name")
    phones = FieldList(TextField("Phone"), "Phone", max_entries=2 * MOST_PHONES + 1)
    latex_allergy = BooleanField("Latex allergy")
    shown_name = HiddenField()
    shown_latex_allergy = HiddenField()
    shown_phones = FieldList(HiddenField(), max_entries=2 * MOST_PHONES)

    saved_by_others: CustomerDetails | None = None
    """The customer as somebody else saved them since; None if nobody did."""

    @property
    def shown(self) -> CustomerDetails:
        phones = tuple(field.data or "" for field in self.shown_phones)
        return CustomerDetails(self.shown_name.data or "", phones, self.shown_latex_allergy.data == YES)

    @property
    def typed(self) -> CustomerDetails:
        return CustomerDetails(self.name.data or "", tuple(self.typed_phones), bool(self.latex_allergy.data))

    @property
    def typed_phones(self) -> list[str]:
        return [field.data or "" for field in self.phones]

    def offer_another(self) -> None:
        """Adds an empty field for one more phone."""
        if len(self.phones) < MOST_PHONES and not (len(self.phones) and not self.phones[-1].data):
            self.phones.append_entry("")

    def show_saved(self, now: CustomerDetails) -> None:
        """Keeps what was typed, and adds phones, and an allergy, that somebody else has saved since."""
        typed = self.typed_phones
        had = {phone_key(phone) for phone in typed if phone}
        if len(typed) >= len(self.shown.phones):
            # so that a phone that was emptied here is not added again
            had |= {phone_key(phone) for phone in self.shown.phones}
        typed = [phone for phone in typed if phone] + [one for one in now.phones if phone_key(one) not in had]
        if now.latex_allergy and not self.shown.latex_allergy:
            self.latex_allergy.data = True
        self.saved_by_others = now
        self.shown_name.data, self.shown_latex_allergy.data = now.name, YES if now.latex_allergy else ""
        _refill(self.phones, typed)
        _refill(self.shown_phones, now.phones)


def _refill(fields: "FieldList[TextField]", texts: Sequence[str]) -> None:
    while len(fields):
        fields.pop_entry()
    for text in texts:
        fields.append_entry(text)


def register(counter: Blueprint) -> None:
    counter.get("/customers/<int:customer_id>")(customer)
    counter.post("/customers/<int:customer_id>")(save_customer)
    counter.post("/customers/<int:customer_id>/merge")(merge)


def customer(customer_id: int) -> Response:
    saved = load_customer(request_context().session, customer_id)
    if saved.id != customer_id:
        return make_response(redirect(url_for("counter.customer", customer_id=saved.id)))
    now = CustomerDetails.of(saved)
    shown = {"name": now.name, "phones": now.phones, "latex_allergy": now.latex_allergy}
    shown |= {"shown_name": now.name, "shown_phones": now.phones}
    shown |= {"shown_latex_allergy": YES if now.latex_allergy else ""}
    return _page(saved, CustomerForm(data=shown))


def save_customer(customer_id: int) -> Response:
    here, form = request_context(), CustomerForm(request.form)
    try:
        change_customer(here.context, customer_id, form.shown, form.typed)
    except CustomerChangedMeanwhile as changed:
        form.show_saved(CustomerDetails.of(changed.customer))
        return _page(changed.customer, form, 409)
    except MergedMeanwhile as merged:
        return _page(merged.duplicate, form, 409, merged.merged_into)
    except Refused as refused:
        form.add_problems(refused.problems)
        return _page(load_customer(here.session, customer_id), form, 422)
    flash(f"{form.typed.name} saved.")
    return see_other(url_for("counter.customer", customer_id=customer_id))


def merge(customer_id: int) -> Response:
    here = request_context()
    saved = merge_customers(here.context, customer_id, read_id(request.form.get("duplicate")))
    flash(f"Merged into {saved.name}.")
    return see_other(url_for("counter.customer", customer_id=saved.id))


def _page(customer: Customer, form: CustomerForm, status: int = 200, saved: Customer | None = None) -> Response:
    """Returns the page. saved: the customer with whom this one was merged meanwhile."""
    session = request_context().session
    form.offer_another()
    orders = past_orders(session, customer.id)
    page = render_template(
        "counter/customer.html",
        customer=customer,
        form=form,
        saved=saved,
        orders=orders,
        orders_now=rows_now(orders),
        duplicates=[] if saved else find_duplicates(session, customer),
        history=history_of_customer(session, customer),
    )
    return make_response(page, status)
