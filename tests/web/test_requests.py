"""The edge of a request: what is kept, what is refused, and what an error looks like."""

import re
from datetime import UTC, datetime
from pathlib import Path

import pytest
from flask import request, session
from freezegun import freeze_time
from sqlalchemy import func, select
from sqlalchemy.exc import OperationalError
from sqlalchemy.orm import Session

from app.actions.records.catalogue import load_catalogue
from app.config import OWN_HOSTS
from app.store.engine import WriteInReadSession
from app.store.models import Order, StaffMember
from app.store.sentences import FILE_REMOVED, NOT_KNOWN_IF_SAVED, SQLITE_SENTENCES, UNKNOWN_DATABASE_ERROR
from app.web.security import MOST_BYTES, POLICY
from app.web.wording.errors import LOOK_FIRST, PRESS_AGAIN, STALE_FORM, STATUS_SENTENCES, UNEXPECTED_ERROR
from tests.actions.builders import at, bouquet, order_request
from tests.actions.builders import take as take_order
from tests.actions.cylinder_helpers import cylinder
from tests.actions.photographs import photo_of_order
from tests.actions.rental_helpers import pole, rental
from tests.conftest import SATURDAY_MORNING
from tests.places.payloads import payload, words

PAGES = ("/counter/", "/bench", "/pickups/", "/office/", "/office/review", "/staff/", "/bench.json")
ERRORS = ("/nowhere", "/counter/orders/12345", "/counter/orders.csv?from=soon", "/counter/draft")


def _orders(database):
    with database.reading() as session:
        return session.scalar(select(func.count()).select_from(Order))


@pytest.fixture
def now():
    """Here every clock of the process stands still, not the shop's alone."""
    with freeze_time(SATURDAY_MORNING) as clock:
        yield clock


@pytest.fixture
def guarded(build_app, database, now):
    """The app as it is served: forms need their token."""
    return build_app(database.engine.url)


@pytest.fixture
def own_app(guarded):
    """An app of this test alone, that may be given further pages: forms need no token."""
    guarded.config.update(TESTING=True, WTF_CSRF_ENABLED=False)
    return guarded


@pytest.fixture
def served(guarded):
    """A browser at the app as it is served."""
    return guarded.test_client()


def _token(browser):
    return re.search(r'<meta name="csrf-token" content="([^"]+)">', browser.get("/counter/").text)[1]


# A POST needs its token.


def test_a_form_with_its_token_is_taken(served, database):
    answer = served.post("/counter/orders", data=payload(csrf_token=_token(served)))
    assert answer.status_code == 303
    assert _orders(database) == 1


def test_the_token_may_come_as_a_header(served, database):
    answer = served.post("/counter/orders", data=payload(), headers={"X-CSRFToken": _token(served)})
    assert answer.status_code == 303
    assert _orders(database) == 1


@pytest.mark.parametrize("token", [None, "", "forged"])
def test_a_form_without_its_token_is_refused_with_a_sentence(served, database, token):
    _token(served)
    answer = served.post("/counter/orders", data=payload(csrf_token=token))
    assert answer.status_code == 400
    assert STALE_FORM in words(answer.text)
    assert _orders(database) == 0


def test_the_token_of_another_browser_is_refused(guarded, served):
    stolen = _token(guarded.test_client())
    _token(served)
    assert served.post("/counter/orders", data=payload(csrf_token=stolen)).status_code == 400


def test_every_address_that_takes_a_post_asks_for_the_token(guarded, served):
    """The open quote knows no session that another site could use, so it needs none."""
    taking = [rule for rule in guarded.url_map.iter_rules() if "POST" in rule.methods]
    taking = [rule for rule in taking if rule.endpoint != "open_quote.quote_json"]
    assert len(taking) > 15
    for rule in taking:
        address = re.sub(r"<[^>]+>", "1", rule.rule)
        assert served.post(address).status_code == 400, address


def test_a_form_left_open_over_lunch_is_still_good(served, now):
    token = _token(served)
    now.tick(6 * 3600)
    assert served.post("/counter/orders", data=payload(csrf_token=token)).status_code == 303


# The name under which the browser asks.


@pytest.mark.parametrize("port", ["", ":8000"])
@pytest.mark.parametrize("host", OWN_HOSTS)
def test_the_shops_own_names_are_trusted(served, host, port):
    assert served.get("/bench", headers={"Host": host + port}).status_code == 200


@pytest.mark.parametrize("address", ["/bench", "/", "/nowhere", "/bench.json", "/static/house.css"])
@pytest.mark.parametrize("host", ["shop.example", "127.0.0.1.shop.example", "localhost@shop.example"])
def test_any_other_name_is_refused(served, address, host):
    answer = served.get(address, headers={"Host": host})
    assert answer.status_code == 400
    assert answer.headers["Content-Security-Policy"] == POLICY
    assert "Reload" not in answer.text


def test_an_untrusted_name_saves_nothing(client, database):
    assert client.post("/counter/orders", data=payload(), headers={"Host": "shop.example"}).status_code == 400
    assert _orders(database) == 0


def test_further_names_can_be_trusted(build_app, database, now):
    app = build_app(database.engine.url, (*OWN_HOSTS, "counter.test"))
    answer = app.test_client().get("/bench", headers={"Host": "counter.test:8000"})
    assert answer.status_code == 200


# Headers.


@pytest.mark.parametrize("address", PAGES + ERRORS)
def test_every_answer_has_the_strict_policy(client, address):
    headers = client.get(address).headers
    assert headers["Content-Security-Policy"] == POLICY
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["Cache-Control"] == "no-store"


def test_redirects_and_polls_and_refusals_have_it_too(client):
    answers = [
        client.get("/"),
        client.post("/counter/orders", data=payload()),
        client.post("/counter/orders", data=payload(client_key="b", phone="x")),
        client.post("/counter/orders", data=payload(notes="x" * MOST_BYTES)),
    ]
    assert [answer.status_code for answer in answers] == [302, 303, 422, 413]
    for answer in answers:
        assert answer.headers["Content-Security-Policy"] == POLICY


def test_a_static_file_has_it_too_and_may_be_kept(client):
    address = re.search(r'href="(/static/house\.css[^"]*)"', client.get("/staff/").text)[1]
    answer = client.get(address)
    assert answer.headers["Content-Security-Policy"] == POLICY
    assert "max-age" in answer.headers["Cache-Control"]


def test_the_policy_allows_nothing_inline_and_nothing_from_elsewhere():
    assert POLICY.startswith("default-src 'none'")
    for loose in ("unsafe", "http:", "https:", "*", "data:", "blob:"):
        assert loose not in POLICY


def test_the_cookie_is_out_of_reach_of_scripts_and_other_sites(served):
    cookie = served.get("/counter/").headers["Set-Cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=Lax" in cookie
    assert "Secure" not in cookie  # the shop's network is plain HTTP, where browsers drop such a cookie


# Errors.


@pytest.mark.parametrize(
    ("method", "address", "status", "sentence"),
    [
        ("get", "/nowhere", 404, STATUS_SENTENCES[404]),
        ("get", "/counter/orders/12345", 404, "12345"),
        ("get", "/counter/draft", 405, STATUS_SENTENCES[405]),
        ("post", "/bench", 405, STATUS_SENTENCES[405]),
        ("get", "/counter/orders.csv?from=soon", 400, "28/11"),
    ],
)
def test_an_error_has_a_page_with_a_sentence(client, method, address, status, sentence):
    answer = getattr(client, method)(address)
    assert (answer.status_code, answer.mimetype) == (status, "text/html")
    assert sentence in words(answer.text)
    assert "<title>" in answer.text
    assert f'data-status="{status}"' in answer.text
    assert {"/bench", "/counter/", "/help"} <= set(re.findall(r'href="([^"]+)"', answer.text))


def test_too_much_is_answered_413_with_a_sentence(client, database):
    answer = client.post("/counter/orders", data=payload(notes="x" * MOST_BYTES))
    assert answer.status_code == 413
    assert STATUS_SENTENCES[413] in words(answer.text)
    assert _orders(database) == 0


def test_an_error_of_a_json_address_is_json(client):
    answer = client.get("/bench.json?day=soon")
    assert "28/11" in answer.json["error"]
    assert client.get("/nowhere.json").json["error"] == STATUS_SENTENCES[404]


def test_what_was_unforeseen_is_a_500_with_a_sentence(guarded, served, monkeypatch):
    def fall_over():
        raise ZeroDivisionError

    monkeypatch.setitem(guarded.view_functions, "bench.board", fall_over)
    answer = served.get("/bench")
    assert answer.status_code == 500
    assert UNEXPECTED_ERROR in words(answer.text)
    assert "ZeroDivision" not in answer.text
    assert answer.headers["Content-Security-Policy"] == POLICY


# What is kept and what is not.


def test_an_answer_that_refuses_leaves_nothing_behind(own_app, database):
    @own_app.post("/half")
    def half():
        from app.web.requests import request_context  # noqa: PLC0415

        request_context().session.add(StaffMember(name="Half Saved"))
        request_context().session.flush()
        return "no", int(request.args["status"])

    client = own_app.test_client()
    assert client.post("/half?status=422").status_code == 422
    with database.reading() as session:
        assert session.scalar(select(func.count()).select_from(StaffMember)) == 0
    assert client.post("/half?status=200").status_code == 200
    with database.reading() as session:
        assert session.scalar(select(func.count()).select_from(StaffMember)) == 1


def test_a_view_that_breaks_leaves_nothing_behind(guarded, database):
    @guarded.post("/broken")
    def broken():
        from app.web.requests import request_context  # noqa: PLC0415

        request_context().session.add(StaffMember(name="Half Saved"))
        request_context().session.flush()
        raise ZeroDivisionError

    guarded.config["WTF_CSRF_ENABLED"] = False
    assert guarded.test_client().post("/broken").status_code == 500
    with database.reading() as session:
        assert session.scalar(select(func.count()).select_from(StaffMember)) == 0


def test_a_get_that_would_write_is_an_error_and_writes_nothing(own_app, database):
    @own_app.get("/sneaky")
    def sneaky():
        from app.web.requests import request_context  # noqa: PLC0415

        request_context().session.add(StaffMember(name="Sneaky"))
        request_context().session.flush()
        return "done"

    with pytest.raises(WriteInReadSession):
        own_app.test_client().get("/sneaky")
    with database.reading() as session:
        assert session.scalar(select(func.count()).select_from(StaffMember)) == 0


def test_no_page_of_the_shop_writes_when_it_is_only_looked_at(app, client, database):
    with database.writing() as session:
        catalogue, rentals = load_catalogue(session), (rental(pole(session), 2),)
        number = take_order(session, order_request(catalogue, extras=rentals, return_by=at(9, days=2))).number
        design = bouquet(session, catalogue).id
        photo = photo_of_order(session, number).key
        gas = cylinder(session).id
    client.post("/staff/new", data={"name": "Isolde"})
    looked_at = [rule for rule in app.url_map.iter_rules() if "GET" in rule.methods and rule.endpoint != "static"]
    before = _dump(database)
    for rule in looked_at:
        address = rule.rule.replace("<int:number>", str(number)).replace("<key>", f"{number}-1")
        rows = {
            "<int:customer_id>": "1",
            "<int:balloon_type_id>": "4",
            "<int:supply_id>": "1",
            "<int:design_id>": design,
            "<chapter>": "counter",
            "<subject>": "shop",
            "<name>": "sold",
        }
        rows |= {"<photo>": photo, "<any(whole, small):size>": "small", "<int:cylinder_id>": gas}
        for name, row in rows.items():
            address = address.replace(name, str(row))
        assert client.get(address).status_code in (200, 302), address
    assert len(looked_at) >= 15
    assert _dump(database) == before


def _dump(database):
    with database.reading() as session:
        connection = session.connection()
        tables = connection.exec_driver_sql("SELECT name FROM sqlite_master WHERE type = 'table'").scalars().all()
        return {name: connection.exec_driver_sql(f'SELECT * FROM "{name}"').all() for name in tables}


# When the database fails.


@pytest.mark.parametrize(
    ("address", "sent", "advice"),
    [("/counter/orders", payload(), PRESS_AGAIN), ("/staff/new", {"name": "Isolde"}, LOOK_FIRST)],
)
def test_a_commit_that_may_have_been_done_is_not_called_undone(own_app, monkeypatch, address, sent, advice):
    """With a key, the same form counts once however often it is sent; without one, a second might count again."""
    real = Session.commit

    def lose_the_answer(session):
        real(session)
        raise OperationalError("COMMIT", {}, Exception("disk"))

    monkeypatch.setattr(Session, "commit", lose_the_answer)
    answer = own_app.test_client().post(address, data=sent)
    assert answer.status_code == 503
    assert f"{NOT_KNOWN_IF_SAVED} {advice}" in words(answer.text)
    assert "Nothing was saved" not in answer.text


def test_an_order_that_was_saved_without_an_answer_is_there_once_after_a_second_press(
    own_app, database, monkeypatch
):
    real = Session.commit

    def lose_the_answer(session):
        real(session)
        raise OperationalError("COMMIT", {}, Exception("disk"))

    browser = own_app.test_client()
    with monkeypatch.context() as once:
        once.setattr(Session, "commit", lose_the_answer)
        assert browser.post("/counter/orders", data=payload()).status_code == 503
    assert browser.post("/counter/orders", data=payload()).status_code == 303
    assert _orders(database) == 1


def test_a_database_error_is_a_503_with_a_sentence(app, client, monkeypatch):
    class DiskFull(Exception):
        sqlite_errorname = "SQLITE_FULL"

    def fail(*_args, **_more):
        raise OperationalError("INSERT", {}, DiskFull())

    monkeypatch.setattr("app.places.counter.routes.take_order", fail)
    answer = client.post("/counter/orders", data=payload())
    assert answer.status_code == 503
    assert SQLITE_SENTENCES["SQLITE_FULL"] in words(answer.text)
    assert answer.headers["Content-Security-Policy"] == POLICY


def test_an_order_is_not_acknowledged_when_its_file_is_gone(app, client):
    client.get("/bench")
    Path(app.database.engine.url.database).unlink()
    answer = client.post("/counter/orders", data=payload())
    assert answer.status_code == 503
    assert FILE_REMOVED in words(answer.text)


def test_a_page_of_a_database_without_tables_is_a_503(app, client):
    with app.database.engine.execution_options(write=True).begin() as connection:
        connection.exec_driver_sql("DROP TABLE planned_start")
    answer = client.get("/bench")
    assert answer.status_code == 503
    assert UNKNOWN_DATABASE_ERROR in words(answer.text)


def test_the_next_request_works_after_one_that_failed(app, client, monkeypatch):
    with monkeypatch.context() as broken:
        broken.setattr("app.places.counter.routes.take_order", lambda *_: 1 / 0)
        with pytest.raises(ZeroDivisionError):
            client.post("/counter/orders", data=payload())
    assert client.post("/counter/orders", data=payload()).status_code == 303


def test_the_clock_of_a_request_is_whole_seconds_of_utc(client, now):
    from app.web import clock  # noqa: PLC0415

    now.move_to(datetime(2026, 11, 21, 7, 0, 0, 987_654, tzinfo=UTC))
    assert clock.now() == datetime(2026, 11, 21, 7, tzinfo=UTC)


def test_what_one_request_does_to_its_session_is_not_seen_by_another_with_the_same_cookie(app, client):
    with client.session_transaction() as sent:
        sent["seen"] = ["one"]
    cookie = {"Cookie": f"stillaloft={client.get_cookie('stillaloft').value}"}
    found = []
    for _ in range(2):
        with app.test_request_context("/bench", headers=cookie):
            session["seen"].append("two")
            found.append(session["seen"])
    assert found == [["one", "two"], ["one", "two"]]


def test_a_cookie_with_another_secret_is_nobodys(app, client):
    with client.session_transaction() as sent:
        sent["who"] = "Noor"
    cookie = {"Cookie": f"stillaloft={client.get_cookie('stillaloft').value}"}
    found = []
    for secret in (app.secret_key, "another secret", app.secret_key):
        app.secret_key = secret
        with app.test_request_context("/bench", headers=cookie):
            found.append(session.get("who"))
    assert found == ["Noor", None, "Noor"]


def test_a_poll_of_a_database_that_fails_gets_the_sentence_of_any_page(app, client):
    version = re.search(r'data-version="([^"]+)"', client.get("/bench").text)[1]
    with app.database.engine.execution_options(write=True).begin() as connection:
        connection.exec_driver_sql("DROP TABLE bench_plan")
    answer = client.get("/bench", query_string={"v": version})
    assert answer.status_code == 503
    assert UNKNOWN_DATABASE_ERROR in words(answer.text)
