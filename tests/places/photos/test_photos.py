"""Photos on the pages: sent with a form, refused with a sentence, served under their own names."""

import io
import re
import threading

import pytest
from sqlalchemy import func, select
from werkzeug.datastructures import FileStorage
from werkzeug.test import encode_multipart

from app.actions.photos.photos import ORDER_NOT_READY
from app.actions.photos.reencode import BROKEN, MOST_BYTES, NO_PHOTO, NOTHING, TOO_HEAVY
from app.store.models import Photo
from app.store.queries.photos import photos_of_design
from app.web import photos as web_photos
from app.web.photos import MOST_AT_ONCE, MOST_SENT, TOO_MUCH
from app.web.wording.errors import STATUS_SENTENCES
from app.web.wording.forms import too_many_photos
from tests.actions.photographs import (
    corners,
    opened,
    photo_file,
)
from tests.places.marks import marks
from tests.places.payloads import Page, payload, take, words

SVG = b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>'


def _post(client, address, *files, key="form-1", **more):
    """files: (bytes, name). Encoded here: the test client would leave large ones open."""
    photos = [FileStorage(io.BytesIO(data), name, "photos") for data, name in files]
    boundary, body = encode_multipart({"client_key": key, "photos": photos, **more})
    return client.post(address, data=body, content_type=f"multipart/form-data; boundary={boundary}")


def _count(database, table=Photo):
    with database.reading() as session:
        return session.scalar(select(func.count()).select_from(table))


PHOTO = (photo_file(), "IMG_4711.JPG")
left_open = pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning")
"""Werkzeug's parser leaves files of a form that it gives up to the garbage collector."""


def test_a_photo_of_a_design_is_kept_and_served(client, database, design):
    answer = _post(client, f"/office/designs/{design}/photos", PHOTO)
    assert (answer.status_code, answer.location) == (303, f"/office/designs/{design}#photos")
    page = client.get(f"/office/designs/{design}").text
    (address,) = re.findall(r'src="(/photos/[^"]+/small)"', page)
    served = client.get(address)
    assert served.mimetype == "image/jpeg"
    assert corners(opened(served.data)) == ["red", "green", "blue", "white"]
    assert address in client.get("/office/designs").text


def test_several_at_once(client, database, design):
    _post(client, f"/office/designs/{design}/photos", PHOTO, (photo_file(image_format="PNG"), "b.png"))
    assert _count(database) == 2


def test_a_photo_of_an_order_stands_on_its_page(client, database, number):
    before = client.get(f"/counter/orders/{number}").text
    assert 'accept="image/jpeg,image/png,image/webp"' in before
    assert "capture" not in before
    answer = _post(client, f"/counter/orders/{number}/photos", PHOTO)
    assert (answer.status_code, answer.location) == (303, f"/counter/orders/{number}#photos")
    page = client.get(f"/counter/orders/{number}").text
    assert len(re.findall(r'src="/photos/[^"]+/small"', page)) == 1
    assert "photo added" in marks(page, "act")


def test_an_order_that_is_not_ready_asks_for_no_photo(client):
    number = take(client)
    assert "photo-files" not in Page(client.get(f"/counter/orders/{number}").text).by_id
    answer = _post(client, f"/counter/orders/{number}/photos", PHOTO)
    assert answer.status_code == 422
    assert Page(answer.text).problem("photo-files") == ORDER_NOT_READY.format(number=number)


def test_photos_that_were_saved_or_removed_say_so_once(client, design, shown, number):
    order, of_design = f"/counter/orders/{number}", f"/office/designs/{design}"
    presses = [
        (order, lambda: _post(client, f"{order}/photos", PHOTO)),
        (of_design, lambda: _post(client, f"{of_design}/photos", PHOTO, key="form-2")),
        (of_design, lambda: client.post(f"{of_design}/photos/{shown}/first")),
        (of_design, lambda: client.post(f"{of_design}/photos/{shown}/remove")),
    ]
    for page, press in presses:
        assert press().status_code == 303
        assert [marks(client.get(page).text, "flash").count("message") for _ in range(2)] == [1, 0]


def test_the_same_form_twice_is_one_photo(client, database, design, number):
    for address in (f"/office/designs/{design}/photos", f"/counter/orders/{number}/photos"):
        before = _count(database)
        for _ in range(2):
            assert _post(client, address, PHOTO, key=address).status_code == 303
        assert _count(database) == before + 1


@pytest.mark.parametrize(
    ("file", "name", "sentence"),
    [
        (b"", "empty.jpg", NOTHING),
        (SVG, "drawing.svg", NO_PHOTO),
        (b"only a text", "photo.jpg", NO_PHOTO),
        (photo_file()[:300], "half.jpg", BROKEN),
        (photo_file() + b"\0" * MOST_BYTES, "heavy.jpg", TOO_HEAVY),
    ],
    ids=["nothing", "drawing with a script", "a text by the name of a photo", "broken off", "too heavy"],
)
def test_what_is_no_photo_is_told_at_its_field(client, database, design, number, file, name, sentence):
    for address in (f"/office/designs/{design}/photos", f"/counter/orders/{number}/photos"):
        answer = _post(client, address, (file, name))
        page = Page(answer.text)
        assert answer.status_code == 422
        assert page.problem("photo-files") == sentence
        assert page.describes("photo-files")
    assert _count(database) == 0


def test_no_file_chosen_is_told_too(client, design):
    answer = _post(client, f"/office/designs/{design}/photos", (b"", ""))
    assert answer.status_code == 422
    assert Page(answer.text).problem("photo-files")


def test_one_bad_one_among_several_keeps_none_and_is_named(client, database, design):
    answer = _post(client, f"/office/designs/{design}/photos", PHOTO, (SVG, "b.jpg"), PHOTO)
    assert "2 of 3" in Page(answer.text).problem("photo-files")
    assert _count(database) == 0


@pytest.mark.parametrize(
    "name", ["../../../etc/cron.d/x.jpg", r"C:\shop\x.jpg", "/tmp/x.jpg", "..", "a%0Ab.jpg", "x" * 5000, "Ж.jpg"]
)
def test_the_name_of_the_file_is_never_used(client, database, design, name, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    before = sorted(tmp_path.rglob("*"))
    assert _post(client, f"/office/designs/{design}/photos", (photo_file(), name)).status_code == 303
    assert sorted(tmp_path.rglob("*")) == before
    with database.reading() as session:
        (photo,) = photos_of_design(session, design)
    assert re.fullmatch(r"[A-Za-z0-9_-]{22}", photo.key)
    served = client.get(f"/photos/{photo.key}/whole")
    assert served.headers["Content-Disposition"] == f'inline; filename="{photo.key}.jpg"'


def test_a_type_that_the_browser_claims_changes_nothing(client, database, design):
    file = (io.BytesIO(SVG), "x.jpg", "image/jpeg")
    sent = {"client_key": "form-1", "photos": [file]}
    answer = client.post(f"/office/designs/{design}/photos", data=sent, content_type="multipart/form-data")
    assert answer.status_code == 422


# How it is served.


def test_it_is_served_as_a_picture_that_may_be_kept(client, shown):
    for size in ("small", "whole"):
        headers = client.get(f"/photos/{shown}/{size}").headers
        assert headers["Content-Type"] == "image/jpeg"
        assert headers["X-Content-Type-Options"] == "nosniff"
        assert headers["Content-Security-Policy"].startswith("default-src 'none'")
        assert headers["Cache-Control"] == "private, max-age=31536000, immutable"


@pytest.mark.parametrize("address", ["/photos/none/whole", "/photos/../whole", "/photos/{0}/huge", "/photos/{0}"])
def test_what_is_not_there_is_a_404(client, shown, address):
    answer = client.get(address.format(shown))
    assert answer.status_code == 404
    assert answer.headers["Cache-Control"] == "no-store"
    assert answer.mimetype == "text/html"


def test_what_was_removed_is_not_served(client, database, design, shown):
    assert client.post(f"/office/designs/{design}/photos/{shown}/remove").status_code == 303
    assert client.get(f"/photos/{shown}/whole").status_code == 404
    assert _count(database) == 0


# How much may come in.


def _heavy(more):
    """A form that is as heavy as a view takes, and so much more."""
    return b"--b\r\n" + b'Content-Disposition: form-data; name="photos"; filename="x"\r\n\r\n' + b"\0" * more


def test_more_than_a_form_of_photos_holds_is_told(client, design):
    body = _heavy(MOST_SENT)
    answer = client.post(
        f"/office/designs/{design}/photos", data=body, content_type="multipart/form-data; boundary=b"
    )
    assert answer.status_code == 413
    assert TOO_MUCH in words(answer.text)


@left_open
def test_so_are_more_files_than_one_form_takes(client, design):
    answer = _post(client, f"/office/designs/{design}/photos", *[PHOTO] * (MOST_AT_ONCE + 20))
    assert answer.status_code == 413
    assert TOO_MUCH in words(answer.text)


def test_one_photo_too_many_is_told_at_the_form_and_none_is_saved(client, design):
    answer = _post(client, f"/office/designs/{design}/photos", *[PHOTO] * (MOST_AT_ONCE + 1))
    assert answer.status_code == 422
    assert too_many_photos(MOST_AT_ONCE, MOST_AT_ONCE + 1) in words(answer.text)
    assert _post(client, f"/office/designs/{design}/photos", *[PHOTO] * MOST_AT_ONCE).status_code == 303


def test_other_forms_take_no_more_than_before(client, database):
    for address in ("/counter/orders", "/counter/draft", "/office/designs/new"):
        for more in ({}, {"content_type": "multipart/form-data"}):
            sent = {"notes": "x" * 300_000, "client_key": "key-1"}
            assert client.post(address, data=sent, **more).status_code == 413, address
    assert STATUS_SENTENCES[413] in words(client.post("/counter/orders", data=sent).text)


@left_open
def test_the_words_beside_a_photo_take_no_more_either(client, design):
    answer = _post(client, f"/office/designs/{design}/photos", PHOTO, notes="x" * 300_000)
    assert answer.status_code == 413


def test_a_form_of_photos_needs_its_token_before_anything_is_drawn(build_app, database, now, design, monkeypatch):
    monkeypatch.setattr(web_photos, "reencode", lambda _: 1 / 0)
    served = build_app(database.engine.url).test_client()
    answer = _post(served, f"/office/designs/{design}/photos", PHOTO)
    assert answer.status_code == 400
    assert _count(database) == 0


def test_it_is_drawn_while_others_write(app, client, database, design, monkeypatch):
    """Another counter takes an order while a photo is being drawn."""
    draw, meanwhile = web_photos.reencode, []

    def slowly(file):
        other = threading.Thread(
            target=lambda: meanwhile.append(app.test_client().post("/counter/orders", data=payload()).status_code)
        )
        other.start()
        other.join(10)
        assert not other.is_alive(), "the other counter waits for the photo"
        return draw(file)

    monkeypatch.setattr(web_photos, "reencode", slowly)
    assert _post(client, f"/office/designs/{design}/photos", PHOTO).status_code == 303
    assert meanwhile == [303]
