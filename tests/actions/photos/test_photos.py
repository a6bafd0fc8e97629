"""Photos of designs and of finished orders: put up once, one stands first, taken down for good."""

import re

import pytest
from sqlalchemy import func, select

from app.actions.errors import NotFound
from app.actions.orders.cancel import cancel_order
from app.actions.photos.photos import (
    MOST_PHOTOS,
    add_to_design,
    add_to_order,
    is_finished,
    put_first,
    remove_from_design,
    remove_from_order,
    show_on_design,
)
from app.actions.records.history import history_of
from app.quoting.errors import Refused
from app.store.models import Photo, PhotoImage
from app.store.queries.photos import first_photos, photo_pixels, photos_of_design, photos_of_order
from tests.actions.builders import CALLED_OFF, WHO, at, bouquet, ctx, order_request, problems, take
from tests.actions.photographs import corners, drawn, opened, photo_of_design, photo_of_order, stand_ready
from tests.actions.rental_helpers import hand_over


def _count(session, table):
    return session.scalar(select(func.count()).select_from(table))


def _add(session, design, *sizes, key="form", now=None):
    return add_to_design(ctx(session, who=WHO, now=now or at(9)), design.id, [drawn(*size) for size in sizes], key)


@pytest.fixture
def design(session, catalogue):
    return bouquet(session, catalogue)


@pytest.fixture
def order(session, usual):
    stand_ready(session, usual)
    return usual


def test_a_design_has_its_photo_with_its_pixels(session, design):
    photo = photo_of_design(session, design.id)
    assert (photo.width, photo.height, photo.who, photo.at) == (80, 60, WHO, at(9))
    assert first_photos(session) == {design.id: photo}
    for size in ("whole", "small"):
        assert corners(opened(photo_pixels(session, photo.key, size))) == ["red", "green", "blue", "white"]
    assert photo_pixels(session, photo.key, "huge") is None
    assert photo_pixels(session, "another", "whole") is None


def test_its_name_is_its_own_and_hard_to_guess(session, design):
    names = {photo.key for photo in _add(session, design, (8, 8), (9, 9), (10, 10))}
    assert len(names) == 3
    assert all(re.fullmatch(r"[A-Za-z0-9_-]{22}", name) for name in names)


def test_a_form_that_comes_again_adds_nothing(session, design, order):
    for _ in range(2):
        assert len(_add(session, design, (8, 8), (9, 9))) == 2
        assert len(add_to_order(ctx(session, who=WHO, now=at(13)), order.number, [drawn()], "other form")) == 1
    assert _count(session, Photo) == 3
    assert _count(session, PhotoImage) == 6
    assert [entry.act for entry in history_of(session, order)].count("photo added") == 1


def test_of_those_put_up_together_the_first_stands_first_and_later_ones_before_them(session, design):
    _add(session, design, (8, 8), (9, 9))
    assert [photo.width for photo in photos_of_design(session, design.id)] == [8, 9]
    _add(session, design, (10, 10), key="later")
    assert [photo.width for photo in photos_of_design(session, design.id)] == [10, 8, 9]
    assert first_photos(session)[design.id].width == 10


def test_another_is_put_first_within_the_same_second(session, design):
    photos = _add(session, design, (8, 8), (9, 9), (10, 10))
    put_first(ctx(session, now=at(9)), design.id, photos[2].key)
    assert [photo.width for photo in photos_of_design(session, design.id)] == [10, 8, 9]
    put_first(ctx(session, now=at(9)), design.id, photos[1].key)
    put_first(ctx(session, now=at(9)), design.id, photos[1].key)
    assert [photo.width for photo in photos_of_design(session, design.id)] == [9, 10, 8]


def test_what_is_taken_down_is_gone_with_its_pixels(session, design):
    keep, drop = _add(session, design, (8, 8), (9, 9))
    remove_from_design(session, design.id, drop.key)
    session.expire_all()
    assert photos_of_design(session, design.id) == [keep]
    assert _count(session, PhotoImage) == 2
    assert photo_pixels(session, drop.key, "whole") is None
    with pytest.raises(NotFound):
        remove_from_design(session, design.id, drop.key)


def test_a_photo_of_something_else_is_none_of_it(session, catalogue, design, order):
    other = bouquet(session, catalogue, name="Tern trio")
    photo = photo_of_design(session, design.id)
    with pytest.raises(NotFound):
        remove_from_design(session, other.id, photo.key)
    with pytest.raises(NotFound):
        put_first(ctx(session, now=at(9)), other.id, photo.key)
    with pytest.raises(NotFound):
        remove_from_order(ctx(session, who=WHO, now=at(9)), order.number, photo.key)
    with pytest.raises(Refused):
        show_on_design(ctx(session, now=at(9)), photo.key, other.id)
    assert photo.design_id == design.id


def test_an_order_is_photographed_once_it_is_ready(session, catalogue):
    order = take(session, order_request(catalogue))
    assert not is_finished(session, order)
    with pytest.raises(Refused) as refusal:
        add_to_order(ctx(session, who=WHO, now=at(9)), order.number, [drawn()], "form")
    assert set(problems(refusal)) == {"photos"}
    stand_ready(session, order)
    assert is_finished(session, order)
    add_to_order(ctx(session, who=WHO, now=at(13)), order.number, [drawn(), drawn()], "form")
    entry = history_of(session, order)[-1]
    assert (entry.who, entry.act) == (WHO, "2 photos added")


def test_one_that_was_handed_over_is_photographed_and_a_cancelled_one_is_not(session, catalogue):
    gone, cancelled = (
        take(session, order_request(catalogue)),
        take(session, order_request(catalogue, bench_override="By turns."), key="key-2"),
    )
    hand_over(session, gone)
    cancel_order(ctx(session, who=WHO, now=at(9)), cancelled.number, cancelled.version, CALLED_OFF)
    assert is_finished(session, gone)
    with pytest.raises(Refused):
        add_to_order(ctx(session, who=WHO, now=at(9)), cancelled.number, [drawn()], "form")


def test_no_photo_chosen_and_too_many_have_a_sentence(session, design, order):
    for add, spec in ((add_to_design, design.id), (add_to_order, order.number)):
        with pytest.raises(Refused) as refusal:
            add(ctx(session, now=at(13)), spec, [], "empty")
        assert set(problems(refusal)) == {"photos"}
    add_to_design(ctx(session, who=WHO, now=at(9)), design.id, [drawn(4, 4)] * MOST_PHOTOS, "many")
    with pytest.raises(Refused) as refusal:
        photo_of_design(session, design.id, key="one more")
    assert set(problems(refusal)) == {"photos"}


def test_a_photo_of_an_order_may_show_the_design_made_of_it_and_goes_when_neither_has_it(session, design, order):
    photo = photo_of_order(session, order.number)
    assert show_on_design(ctx(session, now=at(14)), photo.key, design.id) is photo
    assert show_on_design(ctx(session, now=at(15)), photo.key, design.id).at == at(14)
    assert photos_of_order(session, order.id) == photos_of_design(session, design.id) == [photo]
    remove_from_order(ctx(session, who=WHO, now=at(14)), order.number, photo.key)
    assert photos_of_order(session, order.id) == []
    assert photo_pixels(session, photo.key, "small") is not None
    assert history_of(session, order)[-1].act == "photo removed"
    remove_from_design(session, design.id, photo.key)
    session.expire_all()
    assert (_count(session, Photo), _count(session, PhotoImage)) == (0, 0)


@pytest.mark.parametrize("call", [add_to_design, add_to_order])
def test_of_nothing_that_is_there(session, call):
    with pytest.raises(NotFound):
        call(ctx(session, now=at(9)), 4711, [drawn()], "form")
