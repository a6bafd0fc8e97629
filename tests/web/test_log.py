"""The log: the number of a request, times in UTC, and nothing that somebody typed."""

import io
import logging
import re

import pytest
from flask import request
from sqlalchemy import text
from sqlalchemy.exc import OperationalError

from app.web.log import PlainFormatter
from tests.places.payloads import payload

TYPED = "Mrs Tiverton 07700 900123"


@pytest.fixture
def app(build_app, database, now):
    """An app of this test alone, which answers an error as it does where it is served."""
    app = build_app(database.engine.url)
    app.config.update(WTF_CSRF_ENABLED=False)
    return app


@pytest.fixture
def log():
    """What the log says, line by line."""
    written = io.StringIO()
    handler = logging.StreamHandler(written)
    handler.setFormatter(PlainFormatter())
    logging.getLogger().addHandler(handler)
    yield written
    logging.getLogger().removeHandler(handler)


@pytest.fixture
def failing(app):
    """Views that fail: in the database, and in the code."""

    @app.post("/fail/statement")
    def statement():
        from app.web.requests import request_context  # noqa: PLC0415

        request_context().session.execute(
            text("INSERT INTO nowhere VALUES (:name)"), {"name": request.form["name"]}
        )

    @app.post("/fail/code.json")
    @app.post("/fail/code")
    def code():
        return {}[request.form["name"]]

    return app.test_client()


def _number(page):
    return re.search(r'data-request="([0-9a-f]{8})"', page.text)[1]


def test_every_answer_has_a_number_of_its_own(client):
    answers = [client.get(path) for path in ("/bench", "/bench", "/nowhere", "/static/house.css", "/health")]
    numbers = [answer.headers["X-Request-Id"] for answer in answers]
    assert all(re.fullmatch("[0-9a-f]{8}", number) for number in numbers)
    assert len(set(numbers)) == len(numbers)
    for answer in answers:
        answer.close()


def test_a_name_that_is_refused_before_any_view_has_one_too(client):
    assert client.get("/bench", headers={"Host": "elsewhere.test"}).headers["X-Request-Id"]


@pytest.mark.parametrize(("path", "status"), [("/fail/statement", 503), ("/fail/code", 500)])
def test_the_number_on_the_page_is_in_the_header_and_in_the_log(failing, log, path, status):
    answer = failing.post(path, data={"name": TYPED})
    assert answer.status_code == status
    assert _number(answer) == answer.headers["X-Request-Id"]
    assert f"[{_number(answer)}]" in log.getvalue()


def test_a_failed_statement_is_in_the_log_with_its_address_and_without_its_values(failing, log):
    failing.post("/fail/statement", data={"name": TYPED})
    line = log.getvalue().splitlines()[0]
    assert "INSERT INTO nowhere VALUES" in line
    assert "POST /fail/statement" in line
    assert TYPED not in log.getvalue()


def test_an_unexpected_error_is_in_the_log_with_its_place_and_without_what_was_typed(failing, log):
    failing.post("/fail/code", data={"name": TYPED})
    assert "KeyError" in log.getvalue()
    assert "test_log.py" in log.getvalue()
    assert TYPED not in log.getvalue()


def test_a_part_and_data_have_the_number_too(failing):
    part = failing.post("/fail/code", data={"name": "x"}, headers={"HX-Request-Type": "partial"})
    assert part.headers["X-Request-Id"] in part.text
    data = failing.post("/fail/code.json", data={"name": "x"})
    assert data.json["request_id"] == data.headers["X-Request-Id"]


def test_what_the_person_can_mend_has_no_number(client):
    for answer in (client.get("/nowhere"), client.post("/counter/orders", data=payload(phone="x"))):
        assert "data-request" not in answer.text


def test_times_are_in_utc():
    record = logging.LogRecord("app", logging.WARNING, "", 0, "said", (), None)
    record.created = 1_795_244_400.5
    assert PlainFormatter().format(record) == "2026-11-21T07:00:00Z WARNING app [-] said"


def test_an_error_that_led_to_another_is_named_without_its_message():
    def fail():
        try:
            raise OperationalError("SELECT name FROM customer", {"name": TYPED}, Exception(TYPED))
        except OperationalError as exc:
            raise RuntimeError(TYPED) from exc

    with pytest.raises(RuntimeError) as caught:
        fail()
    said = PlainFormatter().formatException((caught.type, caught.value, caught.tb))
    assert "SELECT name FROM customer" in said
    assert said.index("OperationalError") < said.rindex("RuntimeError")
    assert TYPED not in said
