"""Counter: a customer's page, with their orders, and the doubles they may have."""

from flask import Blueprint, Response, make_response, redirect, render_template, request, url_for
from wtforms import FieldList, Form, StringField

from app.actions.customers import MOST_PHONES, change_customer, load_customer, merge_customers
from app.actions.errors import Refused
from app.store.models import Customer
from app.store.queries.customers import doubles_of, past_orders
from app.web.door import visit
from app.web.forms import read_id, say_problems
from app.web.htmx import see_other


class CustomerForm(Form):
    name = StringField("Name")
    phones = FieldList(StringField("Phone"), max_entries=MOST_PHONES + 1)

    def offer_another(self) -> None:
        """Room for one more phone."""
        if len(self.phones) < MOST_PHONES and not (len(self.phones) and not self.phones[-1].data):
            self.phones.append_entry("")


def add_to(counter: Blueprint) -> None:
    counter.get("/customers/<int:customer_id>")(customer)
    counter.post("/customers/<int:customer_id>")(save_customer)
    counter.post("/customers/<int:customer_id>/merge")(merge)


def customer(customer_id: int) -> Response:
    kept = load_customer(visit().session, customer_id)
    if kept.id != customer_id:
        return make_response(redirect(url_for("counter.customer", customer_id=kept.id)))
    form = CustomerForm(data={"name": kept.name, "phones": [phone.shown for phone in kept.phones]})
    return _page(kept, form)


def save_customer(customer_id: int) -> Response:
    here, form = visit(), CustomerForm(request.form)
    try:
        phones = [field.data or "" for field in form.phones]
        kept = change_customer(here.session, customer_id, form.name.data or "", phones)
    except Refused as refused:
        say_problems(form, refused.problems, {})
        return _page(load_customer(here.session, customer_id), form, 422)
    return see_other(url_for("counter.customer", customer_id=kept.id))


def merge(customer_id: int) -> Response:
    here = visit()
    kept = merge_customers(here.session, here.who, customer_id, read_id(request.form.get("double")), here.now)
    return see_other(url_for("counter.customer", customer_id=kept.id))


def _page(kept: Customer, form: CustomerForm, status: int = 200) -> Response:
    form.offer_another()
    orders, doubles = past_orders(visit().session, kept.id), doubles_of(visit().session, kept)
    shown = render_template("counter/customer.html", customer=kept, form=form, orders=orders, doubles=doubles)
    return make_response(shown, status)
