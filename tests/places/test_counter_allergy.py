"""The latex allergy on the pages: asked in the form, warned of at quote, order, confirmation and ticket."""

import pytest
from sqlalchemy import select

from app.store.models import Order
from tests.places.payloads import Page, payload, take

FOIL = {"lines__0__what": "balloon_type:12", "lines__0__quantity": "3", "lines__0__colours": "gold"}


def _draft(client, fix="work", **changes):
    return Page(client.post("/counter/draft", data=payload(fix=fix, **changes)).text)


def _press(client, page, fix):
    return Page(client.post("/counter/draft", data=page.values | {"fix": fix}).text)


def _warned(page):
    return [attrs["data-allergy"] for _, attrs in page.tags if "data-allergy" in attrs]


def _offers(page):
    return [attrs["value"] for _, attrs in page.tags if attrs.get("class") == "alternative"]


def _ticked(page):
    return "checked" in page.by_id["latex_allergy"]


def test_the_answer_warns_and_offers_only_what_has_no_latex(client):
    page = _draft(client, latex_allergy="y")
    assert _warned(page) == ["contains-latex"]
    assert sorted(_offers(page)) == ["alternative-0-foil", "alternative-0-sphere"]
    assert _ticked(page)
    assert _warned(_draft(client)) == []
    assert _offers(_draft(client)) == []


def test_the_answer_says_that_nothing_contains_latex(client):
    assert _warned(_draft(client, latex_allergy="y", **FOIL)) == ["latex-free"]


def test_the_live_answer_warns_too(client):
    assert _warned(_draft(client, "live", latex_allergy="y")) == ["contains-latex"]


def test_an_alternative_is_taken_and_undone_and_the_tick_stays(client):
    page = _draft(client, latex_allergy="y")
    foil = _press(client, page, "alternative-0-foil")
    assert (_warned(foil), _ticked(foil)) == (["latex-free"], True)
    back = _press(client, foil, "undo")
    assert (_warned(back), _ticked(back)) == (["contains-latex"], True)
    assert back.values["lines-0-what"] == page.values["lines-0-what"]


def test_it_is_saved_in_spite_of_the_warning_and_every_page_warns(client, database):
    number = take(client, latex_allergy="y")
    pages = f"/counter/orders/{number}", f"/counter/orders/{number}/confirmation", f"/bench/batches/{number}-1"
    assert [_warned(Page(client.get(page).text)) for page in pages] == [["contains-latex"]] * 3
    with database.reading() as session:
        assert session.scalar(select(Order.latex_allergy)) is True
    assert _ticked(Page(client.get(f"/counter/orders/{number}/change").text))


def test_the_ticket_of_a_batch_without_latex_says_so(client):
    more = {name.replace("__0__", "__1__"): value for name, value in FOIL.items()}
    number = take(client, latex_allergy="y", **more)
    said = [_warned(Page(client.get(f"/bench/batches/{number}-{batch}").text)) for batch in (1, 2)]
    assert sorted(said) == [["contains-latex"], ["latex-free"]]


def test_no_page_warns_without_it(client, usual):
    for page in (f"/counter/orders/{usual}", f"/counter/orders/{usual}/confirmation", f"/bench/batches/{usual}-1"):
        assert _warned(Page(client.get(page).text)) == []


def test_a_chosen_caller_and_a_repeat_have_it_ticked_from_the_start(client):
    number = take(client, latex_allergy="y")
    chosen = _draft(client, "caller-1", customer="", phone="960101")
    assert _ticked(chosen)
    assert _ticked(_press(client, chosen, f"repeat-{number}"))
    unticked = _draft(client, f"repeat-{number}", customer_id="1")
    assert _ticked(unticked)
    assert not _ticked(_press(client, unticked, "undo"))


@pytest.mark.parametrize("own", [True, False])
def test_another_caller_loses_the_tick_of_the_first_but_not_one_of_their_own(client, own):
    take(client, latex_allergy="y")
    take(client, client_key="key-2", customer="Runa Vik", phone="01632 960202")
    first = {} if own else {"customer_id": "1"}
    assert _ticked(_draft(client, "caller-2", latex_allergy="y", customer="", phone="", **first)) is own


def test_the_customers_page_shows_and_changes_it(client):
    take(client, latex_allergy="y")
    shown = Page(client.get("/counter/customers/1").text)
    assert _ticked(shown)
    opened = shown.values
    without = {name: value for name, value in opened.items() if name != "latex_allergy"}
    assert client.post("/counter/customers/1", data=without).status_code == 303
    assert not _ticked(Page(client.get("/counter/customers/1").text))
    late = client.post("/counter/customers/1", data=opened | {"phones-1": "01632 960222"})
    assert late.status_code == 409
    assert not _ticked(Page(client.get("/counter/customers/1").text))


def test_an_allergy_that_somebody_else_saved_meanwhile_stays(client, usual):
    opened = Page(client.get("/counter/customers/1").text).values
    assert client.post("/counter/customers/1", data=opened | {"latex_allergy": "y"}).status_code == 303
    late = client.post("/counter/customers/1", data=opened | {"phones-1": "01632 960222"})
    assert (late.status_code, _ticked(Page(late.text))) == (409, True)
    assert client.post("/counter/customers/1", data=Page(late.text).values).status_code == 303
    assert _ticked(Page(client.get("/counter/customers/1").text))
