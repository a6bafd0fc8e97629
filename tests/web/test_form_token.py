"""The token of forms: a new text in every answer, and one secret behind it."""

import re
from base64 import urlsafe_b64decode, urlsafe_b64encode

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.web.form_token import masked, unmasked

LONGEST_SHARED = 15
"""From so many characters on, what two answers shared could be guessed one by one from the length of a page."""


@pytest.fixture
def guarded(build_app, database, now):
    """The app as it is served: forms need their token."""
    return build_app(database.engine.url)


@pytest.fixture
def browser(guarded):
    return guarded.test_client()


def _meta(page):
    return re.search(r'<meta name="csrf-token" content="([^"]+)">', page)[1]


def _fields(page):
    return re.findall(r'name="csrf_token" value="([^"]*)"', page)


def _sign(browser, **sent):
    """The status of the answer to who chooses how pages look on this device."""
    headers = {"X-CSRFToken": sent.pop("header")} if "header" in sent else {}
    return browser.post("/staff/look", data={"look": "dark", **sent}, headers=headers).status_code


def _longest_shared(one, other):
    lengths = range(len(one), 0, -1)
    return next((n for n in lengths if any(one[i : i + n] in other for i in range(len(one) - n + 1))), 0)


@given(st.binary(min_size=1, max_size=40))
def test_a_mask_comes_off_again(secret):
    assert unmasked(masked(secret)) == secret


def test_two_answers_share_nothing_of_the_token(browser):
    one, other = (_meta(browser.get("/staff/").text) for _ in range(2))
    assert len(one) > 3 * LONGEST_SHARED
    assert _longest_shared(one, other) <= LONGEST_SHARED
    assert unmasked(one) == unmasked(other)


def test_no_answer_has_the_secret_itself(browser):
    page = browser.get("/staff/").text
    with browser.session_transaction() as session:
        secret = session["csrf_token"]
    assert unmasked(_meta(page)).hex() == secret
    assert secret not in page
    assert urlsafe_b64encode(bytes.fromhex(secret)).decode().rstrip("=") not in page


def test_all_forms_of_an_answer_carry_one_token(browser):
    """So that a page of many forms packs them well."""
    page = browser.get("/staff/").text
    assert len(_fields(page)) >= 2
    assert {_meta(page), *_fields(page)} == {_meta(page)}


def test_field_and_header_are_taken_from_any_answer_of_the_session(browser):
    tokens = [_meta(browser.get("/staff/").text) for _ in range(2)]
    assert [_sign(browser, csrf_token=token) for token in tokens] == [303, 303]
    assert [_sign(browser, header=token) for token in tokens] == [303, 303]


def _changed(token, place):
    known = bytearray(urlsafe_b64decode(token))
    known[place] ^= 1
    return urlsafe_b64encode(known).decode()


@pytest.mark.parametrize(
    "damage",
    [
        lambda token: _changed(token, 0),
        lambda token: _changed(token, -1),
        lambda token: token[:-4],
        lambda token: token[4:],
        lambda token: token[:-1],
        lambda token: token + token,
        lambda token: token[: len(token) // 2],
        lambda token: "",
        lambda token: "A" * len(token),
        lambda token: "ä" * len(token),
        lambda token: unmasked(token).hex(),
    ],
)
def test_a_token_that_was_changed_or_cut_is_refused(browser, damage):
    token = _meta(browser.get("/staff/").text)
    assert _sign(browser, csrf_token=damage(token)) == 400
    assert _sign(browser, header=damage(token).encode("latin-1", "replace").decode("latin-1")) == 400
    assert _sign(browser, csrf_token=token) == 303


def test_the_token_of_another_browser_is_refused(guarded, browser):
    foreign = _meta(guarded.test_client().get("/staff/").text)
    assert _sign(browser, csrf_token=foreign) == 400  # before this browser has a session
    browser.get("/staff/")
    assert _sign(browser, csrf_token=foreign) == 400
    assert _sign(browser, header=foreign) == 400


def test_without_a_session_not_even_an_empty_secret_opens(guarded):
    assert _sign(guarded.test_client(), csrf_token=masked(b"")) == 400
    assert _sign(guarded.test_client(), csrf_token="AA==") == 400
