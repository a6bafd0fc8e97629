"""Photos at work: designs are chosen by picture, and a photo of a finished order becomes a design."""

import io
import re

import pytest
from PIL import Image
from sqlalchemy import func, select

from app.actions.records.catalogue import load_catalogue
from app.actions.records.orders import load_order
from app.places.office.designs import PHOTO_DELETED
from app.store.models import DesignRow
from app.store.queries.photos import photos_of_design, photos_of_order
from tests.actions.builders import bouquet, design_line, line, order_request
from tests.actions.builders import take as take_order
from tests.actions.photographs import photo_file, photo_of_design, photo_of_order
from tests.places.marks import marked, marks
from tests.places.payloads import Page, payload, take, words
from tests.places.test_query_budget import BUDGET, counted

BLANK = {"lines__0__quantity": "", "lines__0__colours": ""}


def _post(client, address):
    data = {"client_key": "form-1", "photos": [(io.BytesIO(photo_file()), "a.jpg")]}
    return client.post(address, data=data, content_type="multipart/form-data")


def _designs(database):
    with database.reading() as session:
        return session.scalar(select(func.count()).select_from(DesignRow))


# Which stands first, and what the counter sees of it.


def test_another_is_put_first(client, database, design, shown):
    _post(client, f"/office/designs/{design}/photos")
    assert shown not in client.get("/office/designs").text
    assert client.post(f"/office/designs/{design}/photos/{shown}/first").status_code == 303
    assert shown in client.get("/office/designs").text


def test_the_counter_offers_designs_by_their_picture(client, database, shown, design):
    page = client.get("/counter/").text
    assert f'value="pictured-{design}"' in page
    assert f"/photos/{shown}/small" in page
    answer = client.post("/counter/draft", data=payload(lines__0__what="", fix=f"pictured-{design}", **BLANK))
    assert Page(answer.text).values["lines-0-what"] == f"design:{design}"


def test_a_further_design_goes_into_a_line_of_its_own(client, design):
    answer = client.post("/counter/draft", data=payload(fix=f"pictured-{design}"))
    values = Page(answer.text).values
    assert (values["lines-0-what"], values["lines-1-what"]) == ("balloon_type:4", f"design:{design}")
    assert values["customer"] == "Wilhelmina Hart"
    assert re.search(r'id="lines-1-quantity"[^>]*autofocus', answer.text)


def test_one_without_a_photo_has_its_name_on_a_tile_and_an_archived_one_has_none(client, database, design):
    page = client.get("/counter/").text
    assert '<span class="tile-plain" aria-hidden="true">Sea bouquet</span>' in page
    client.post(f"/office/designs/{design}/archive")
    assert "pictured" not in client.get("/counter/").text


def test_what_is_in_season_stands_first_and_the_rest_says_when_it_is_sold(client, database):
    with database.writing() as session:
        catalogue = load_catalogue(session)
        for name, seasons in (("May", (("05-01", "05-31"),)), ("All year", ()), ("Now", (("11-01", "11-30"),))):
            row = bouquet(session, catalogue, name=name)
            row.seasons = [list(season) for season in seasons]
    page = client.get("/counter/").text
    assert re.findall(r'<span class="tile-plain"[^>]*>([^<]+)<', page) == ["Now", "All year", "May"]
    assert "1 May–31 May" in words(page)


def test_the_finds_have_small_pictures(client, shown):
    for page in (
        client.get("/counter/goods?line=0&lines-0-find=sea"),
        client.post("/counter/draft", data=payload(fix="work", lines__0__what="", lines__0__find="s")),
    ):
        assert re.search(rf'id="what-0-0"[^>]*>.*?/photos/{shown}/small', page.text, re.DOTALL)


def test_the_ticket_shows_how_it_should_look(client, database, design, shown):
    number = take(client, lines__0__what=f"design:{design}", lines__0__quantity="1", lines__0__colours="blue")
    assert f"/photos/{shown}/whole" in client.get(f"/bench/batches/{number}-1").text
    plain = take(client, client_key="key-2")
    assert "/photos/" not in client.get(f"/bench/batches/{plain}-1").text


# A photo of an order becomes a design in two presses.


def _press(page, what):
    """Where the press leads that makes a design of the order, or of the line in this place."""
    return next(one["href"] for one in marked(page, "make-design") if one["data-make-design"] == what)


def _filled_in(client, number):
    """What stands in the form after the first press."""
    address = _press(client.get(f"/counter/orders/{number}").text, "order")
    return Page(client.get(address).text).values


def test_a_photo_of_an_order_becomes_a_design_in_two_presses(client, database, number):
    _post(client, f"/counter/orders/{number}/photos")
    address = _press(client.get(f"/counter/orders/{number}").text, "order")
    page = client.get(address)
    values = Page(page.text).values
    assert (values["parts-0-quantity"], values["parts-0-colours"]) == ("24", "red, white")
    assert values["price_minor"] == "26.40"
    assert values["name"] == "11 in latex, red and white"
    assert f"/photos/{values['photo']}/small" in page.text
    assert client.post("/office/designs/new", data=values).status_code == 303
    with database.reading() as session:
        (row,) = session.scalars(select(DesignRow))
        (photo,) = photos_of_design(session, row.id)
        assert [photo] == photos_of_order(session, load_order(session, number).id)
    assert f"/photos/{photo.key}/small" in client.get("/counter/").text
    again = client.get(f"/counter/orders/{number}").text
    assert marks(again, "make-design") == []
    assert marks(again, "design") == [str(row.id)]


def test_the_photo_outlives_work_on_the_form_and_a_refusal(client, database, number):
    _post(client, f"/counter/orders/{number}/photos")
    values = Page(client.get(_press(client.get(f"/counter/orders/{number}").text, "order")).text).values
    drafted = Page(client.post("/office/designs/draft", data=values | {"fix": "more-parts"}).text).values
    assert drafted["photo"] == values["photo"]
    refused = client.post("/office/designs/new", data=values | {"name": ""})
    assert refused.status_code == 422
    assert Page(refused.text).values["photo"] == values["photo"]
    assert _designs(database) == 0


def test_an_order_of_several_lines_offers_each_and_all_together(client, database):
    with database.writing() as session:
        row = bouquet(session, load_catalogue(session))
        catalogue = load_catalogue(session)
        lines = (design_line(row, 2, colours="teal"), line(catalogue, quantity=3, colours="gold"))
        number = take_order(session, order_request(catalogue, *lines)).number
        photo_of_order(session, number)
    page = client.get(f"/counter/orders/{number}").text
    first = Page(client.get(_press(page, "0")).text).values
    second = Page(client.get(_press(page, "1")).text).values
    both = Page(client.get(_press(page, "order")).text).values
    assert [first["parts-0-quantity"], first["parts-1-quantity"], first["parts-1-colours"]] == ["1", "9", "teal"]
    assert (second["parts-0-quantity"], second["parts-0-colours"]) == ("3", "gold")
    assert (both["parts-0-quantity"], both["parts-1-colours"]) == ("2", "18 teal, 3 gold")


@pytest.mark.parametrize("address", ["/office/designs/of-photo/none", "/office/designs/of-photo/{0}?line=99"])
def test_of_no_photo_and_of_no_line_is_a_404(client, database, number, address):
    with database.writing() as session:
        key = photo_of_order(session, number).key
    assert client.get(address.format(key)).status_code == 404


def test_a_photo_that_was_removed_meanwhile_costs_nobody_the_design(client, database, number):
    _post(client, f"/counter/orders/{number}/photos")
    values = Page(client.get(_press(client.get(f"/counter/orders/{number}").text, "order")).text).values
    assert client.post(f"/counter/orders/{number}/photos/{values['photo']}/remove").status_code == 303
    assert client.post("/office/designs/new", data=values).status_code == 303
    with database.reading() as session:
        (row,) = session.scalars(select(DesignRow))
        assert (row.name, photos_of_design(session, row.id)) == ("11 in latex, red and white", [])
    assert PHOTO_DELETED in words(client.get("/office/designs").text)


def test_a_photo_drawn_by_the_shop_opens_as_what_it_is(client, shown):
    with Image.open(io.BytesIO(client.get(f"/photos/{shown}/whole").data)) as image:
        assert (image.format, image.size) == ("JPEG", (80, 60))


def test_lists_cost_the_same_for_one_photo_and_for_ten_and_read_no_pixels(app, client, database, number):
    pages = ("/counter/", "/counter/goods?line=0&lines-0-find=sea", "/office/designs", f"/counter/orders/{number}")
    counts = []
    for so_far, more in ((0, 1), (1, 9)):
        with database.writing() as session:
            for place in range(so_far, so_far + more):
                row = bouquet(session, load_catalogue(session), name=f"Sea {place}")
                photo_of_design(session, row.id, key=f"design {place}")
                photo_of_order(session, number, key=f"order {place}")
        for address in pages:
            with counted(app) as statements:
                assert client.get(address).text.count("/small") >= min(so_far + more, 8), address
            assert not any("jpeg" in statement for statement in statements)
            counts.append(len(statements))
    assert counts[: len(pages)] == counts[len(pages) :]
    assert max(counts[:3]) <= BUDGET
