"""The pictures of the help: each is there, small, as large as its page says, and told to whoever cannot see it."""

import io
import json
import re
from pathlib import Path

import pytest
from PIL import Image, ImageStat

from app.places.help.chapters import CHAPTERS
from app.places.help.pictures import help_pictures
from tests.browser import pictures
from tests.browser.pictures import FOLDER, LIST, LOOKS, MOST_BYTES, PICTURES, compressed, file_name
from tests.places.payloads import Page

ROOT = Path(__file__).resolve().parents[2]
ON_DISK = {file.name for file in FOLDER.iterdir()} - {LIST}
MOST_LETTERS = 200


def _shown(client, look=""):
    """What stands on a tag for each picture of the help, over all chapters, and the sources beside them."""
    if look:
        client.post("/staff/look", data={"look": look})
    pages = [Page(client.get(f"/help/{chapter.key}").text) for chapter in CHAPTERS]
    tags = [one for page in pages for one in page.tags]
    images = [attrs for tag, attrs in tags if tag == "img" and "/pictures/" in attrs["src"]]
    return images, [attrs for tag, attrs in tags if tag == "source"]


def _read(name, mode="RGB"):
    with Image.open(FOLDER / name) as image:
        return image.convert(mode)


def _file(address):
    return ROOT / address.removeprefix("/").partition("?")[0]


def test_the_commands_list_is_what_lies_on_the_disk_and_what_the_help_reads():
    assert {file_name(one.name, look) for one in PICTURES for look in LOOKS} == ON_DISK
    listed = json.loads((FOLDER / LIST).read_text(encoding="utf-8"))
    assert {name: one["shows"] for name, one in listed.items()} == {one.name: one.shows for one in PICTURES}
    read = help_pictures(FOLDER.parent)
    assert {name: one.shows for name, one in read.items()} == {one.name: one.shows for one in PICTURES}


def test_the_help_shows_each_of_them_once_with_its_size_and_what_is_seen(client):
    images, sources = _shown(client)
    assert sorted(_file(one["src"]).stem for one in images) == sorted(one.name for one in PICTURES)
    assert len(sources) == len(images)
    shows = {one.name: one.shows for one in PICTURES}
    for one in images:
        file = _file(one["src"])
        assert _read(file.name).size == (int(one["width"]), int(one["height"])), file.name
        assert one["alt"] == shows[file.stem]
        assert one["loading"] == "lazy"


@pytest.mark.parametrize("look", LOOKS)
def test_a_device_that_was_told_how_to_look_gets_the_pictures_in_these_colours(client, look):
    images, sources = _shown(client, look)
    assert {_file(one["src"]).name for one in images} == {file_name(one.name, look) for one in PICTURES}
    assert sources == []


@pytest.mark.parametrize("name", sorted(ON_DISK))
def test_each_is_small_enough_to_load_at_a_counter(name):
    assert 1_000 < (FOLDER / name).stat().st_size <= MOST_BYTES


@pytest.mark.parametrize("picture", PICTURES, ids=lambda one: one.name)
def test_light_and_dark_show_the_same_page(picture):
    light, dark = (_read(file_name(picture.name, look), "L") for look in LOOKS)
    assert light.size == dark.size
    assert ImageStat.Stat(light).mean[0] > 180
    assert ImageStat.Stat(dark).mean[0] < 90


@pytest.mark.parametrize("picture", PICTURES, ids=lambda one: one.name)
def test_what_is_seen_is_told_in_one_short_sentence(picture):
    assert re.fullmatch(r"[A-Z].*\.", picture.shows)
    assert 40 < len(picture.shows) <= MOST_LETTERS


def test_pictures_are_served_as_such(client):
    with client.get("/static/pictures/board.webp") as answer:
        assert answer.mimetype == "image/webp"


def test_a_picture_with_too_many_colours_loses_some_and_one_that_stays_too_large_is_refused(monkeypatch):
    file = io.BytesIO()
    Image.effect_noise((300, 300), 80).convert("RGB").save(file, "PNG")
    assert Image.open(io.BytesIO(compressed(file.getvalue()))).size == (300, 300)
    monkeypatch.setattr(pictures, "MOST_BYTES", 10_000)
    with pytest.raises(ValueError, match="300 × 300"):
        compressed(file.getvalue())
