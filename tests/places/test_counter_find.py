"""Finding an order by number, name or phone."""

import pytest

from tests.places.payloads import CALLED_OFF, take


def _found(client, text):
    page = client.get("/counter/orders", query_string={"q": text})
    assert page.status_code == 200
    return page.text


@pytest.mark.parametrize("text", ["Wilhelmina", "wilhelmina hart", "HART", "  elmina ", "960101", "01632 96 01 01"])
def test_it_is_found_by_part_of_name_or_phone(client, text, number):
    assert f"/counter/orders/{number}" in _found(client, text)


@pytest.mark.parametrize("text", ["{}", " {} ", "#{}"])
def test_its_number_leads_straight_to_it(client, text, number):
    answer = client.get("/counter/orders", query_string={"q": text.format(number)})
    assert (answer.status_code, answer.location) == (302, f"/counter/orders/{number}")


def test_its_number_beside_another_filter_or_in_the_list_itself_is_a_search(client, number):
    """Who types into the list stays in it; a number that is part of a phone finds whose phone it is."""
    page = client.get("/counter/orders", query_string={"q": str(number), "not_ready": "y"})
    assert f"/counter/orders/{number}" in page.text
    part = client.get("/counter/orders", query_string={"q": str(number)}, headers={"HX-Request-Type": "partial"})
    assert (part.status_code, part.text.count("data-order=")) == (200, 1)
    assert f"/counter/orders/{number}" in _found(client, "9601")


@pytest.mark.parametrize("text", ["Élodie", "élodie", "ÉLODIE", "Åberg", "åberg"])
def test_a_name_with_accents_is_found_in_capitals_and_small_letters(client, text):
    number = take(client, customer="Élodie Åberg")
    assert f"/counter/orders/{number}" in _found(client, text)


@pytest.mark.parametrize("text", ["%", "_", "²", "٣", "9" * 80, "'; --", "\\", "🎈"])
def test_what_nobody_is_called_finds_nothing(client, text, number):
    assert f"/counter/orders/{number}" not in _found(client, text)


def test_without_a_text_the_open_orders_to_come_are_shown(client):
    open_one, cancelled = take(client), take(client, client_key="key-2")
    client.post(f"/counter/orders/{cancelled}/cancel", data=CALLED_OFF)
    page = _found(client, "")
    assert f"/counter/orders/{open_one}" in page
    assert f"/counter/orders/{cancelled}" not in page


@pytest.mark.parametrize("text", ["+44 1632 960101", "0044 1632 960101", "+44 1632 9601", "+44 (0)1632 96"])
def test_it_is_found_by_its_phone_with_the_countrys_code(client, text, number):
    assert f"/counter/orders/{number}" in _found(client, text)
    assert f"/counter/orders/{number}" not in _found(client, text.replace("1632", "1633"))
