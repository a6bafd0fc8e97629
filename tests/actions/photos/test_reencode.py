"""A file becomes a photo of the shop: nothing but its picture is kept, and what is none is refused in a sentence.

The files are made here, byte by byte where no library makes such a one. The marks looked for in what is kept are
those of the formats themselves: JPEG's segments as ITU-T T.81, annex B, names them, and Exif's, XMP's and ICC's
headers as they stand in APP1 and APP2.
"""

import io
import struct
import subprocess
import sys
import zipfile
import zlib

import pytest
from PIL import Image, PngImagePlugin

from app.actions.photos.reencode import (
    BROKEN,
    MOST_BYTES,
    MOVING,
    NO_PHOTO,
    NOTHING,
    TOO_HEAVY,
    UnreadablePhoto,
    reencode,
)
from tests.actions.photographs import corners, file_of, nearest, opened, photo_file, quarters

SCRIPT = b"<html><script>alert('polyglot')</script></html>"
SVG = b'<?xml version="1.0"?><svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>'
PLACE = {1: "N", 2: (53.0, 28.0, 30.0), 3: "W", 4: (2.0, 14.0, 40.0)}
ORIENTATION, GPS, MAKER = 0x0112, 0x8825, 0x010F


def _refused(file):
    with pytest.raises(UnreadablePhoto) as refusal:
        reencode(file)
    return str(refusal.value)


def _chunk(name, data):
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))


def _png_that_says(width, height):
    """A few bytes whose head promises a picture of any size."""
    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    pixels = zlib.compress(b"\0" * 1000)
    return b"\x89PNG\r\n\x1a\n" + _chunk(b"IHDR", head) + _chunk(b"IDAT", pixels) + _chunk(b"IEND", b"")


def _exif(orientation=1, place=False):
    exif = Image.Exif()
    exif[ORIENTATION] = orientation
    exif[MAKER] = "Secret Camera"
    if place:
        exif.get_ifd(GPS).update(PLACE)
    return exif


def _segments(jpeg):
    """The markers of a JPEG before its pixels, with what each holds."""
    assert jpeg[:2] == b"\xff\xd8"
    place, found = 2, []
    while jpeg[place + 1] != 0xDA:
        length = struct.unpack(">H", jpeg[place + 2 : place + 4])[0]
        found.append((jpeg[place + 1], jpeg[place + 4 : place + 2 + length]))
        place += 2 + length
    return found


def _is_bare(jpeg):
    """Only what draws the picture: JFIF's own APP0, tables, frame; no other APPn (E1 to EF), no comment (FE)."""
    markers = [marker for marker, _ in _segments(jpeg)]
    named = dict(_segments(jpeg))
    return not any(0xE1 <= marker <= 0xEF or marker == 0xFE for marker in markers) and (
        named[0xE0].startswith(b"JFIF\0") and jpeg.endswith(b"\xff\xd9")
    )


# What is taken.


@pytest.mark.parametrize("image_format", ["JPEG", "PNG", "WEBP"])
def test_a_photo_is_kept_in_two_sizes_as_jpeg(image_format):
    photo = reencode(photo_file(2400, 1800, image_format))
    assert (photo.width, photo.height) == opened(photo.whole).size == (1600, 1200)
    assert opened(photo.small).size == (360, 270)
    for jpeg in (photo.whole, photo.small):
        assert opened(jpeg).format == "JPEG"
        assert corners(opened(jpeg)) == ["red", "green", "blue", "white"]
        assert _is_bare(jpeg)


def test_a_small_one_is_not_blown_up():
    photo = reencode(photo_file(1, 1))
    assert (photo.width, photo.height) == opened(photo.whole).size == opened(photo.small).size == (1, 1)


def test_a_long_thin_one_keeps_a_width():
    photo = reencode(photo_file(4000, 2, "PNG"))
    assert (photo.width, photo.height) == (1600, 1)
    assert opened(photo.small).size == (360, 1)


UPRIGHT = {
    1: ["red", "green", "blue", "white"],
    2: ["green", "red", "white", "blue"],
    3: ["white", "blue", "green", "red"],
    4: ["blue", "white", "red", "green"],
    5: ["red", "blue", "green", "white"],
    6: ["blue", "red", "white", "green"],
    7: ["white", "green", "blue", "red"],
    8: ["green", "white", "red", "blue"],
}
"""Corners as they should be seen for each value of Exif's Orientation (Exif 2.32, 4.6.4.A: which side of what is
seen row 0 and column 0 of what is stored are)."""


@pytest.mark.parametrize("image_format", ["JPEG", "PNG", "WEBP"])
@pytest.mark.parametrize("orientation", UPRIGHT)
def test_it_is_turned_upright_and_says_no_more_how_it_lay(orientation, image_format):
    photo = reencode(file_of(quarters(), image_format, exif=_exif(orientation)))
    for jpeg in (photo.whole, photo.small):
        assert corners(opened(jpeg)) == UPRIGHT[orientation]
        assert opened(jpeg).size == ((80, 60) if orientation < 5 else (60, 80))
        assert len(opened(jpeg).getexif()) == 0
    assert (photo.width, photo.height) == opened(photo.whole).size


def test_where_when_and_with_what_it_was_taken_is_gone():
    xmp = b'<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf>Secret Name</rdf></x:xmpmeta>'
    file = file_of(
        quarters(), exif=_exif(place=True), xmp=xmp, comment=b"Secret Comment", icc_profile=b"Secret Profile" * 20
    )
    before = opened(file)
    assert before.getexif().get_ifd(GPS)[2] == (53.0, 28.0, 30.0)
    assert file.count(b"Secret") > 4
    photo = reencode(file)
    for jpeg in (photo.whole, photo.small):
        assert _is_bare(jpeg)
        assert opened(jpeg).getexif().get_ifd(GPS) == {}
        assert not {"exif", "xmp", "icc_profile", "comment"} & set(opened(jpeg).info)
        assert b"Secret" not in jpeg


def test_texts_in_a_png_are_gone():
    notes = PngImagePlugin.PngInfo()
    notes.add_text("Author", "Secret Name")
    notes.add_itxt("XML:com.adobe.xmp", "Secret Place", zip=True)
    photo = reencode(file_of(quarters(), "PNG", pnginfo=notes, exif=_exif(place=True)))
    assert _is_bare(photo.whole)
    assert b"Secret" not in photo.whole + photo.small


def _zipped():
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("run.html", SCRIPT)
    return out.getvalue()


@pytest.mark.parametrize("image_format", ["JPEG", "PNG", "WEBP"])
@pytest.mark.parametrize("finishing", [SCRIPT, _zipped()], ids=["page", "archive"])
def test_what_was_hung_on_to_a_photo_is_not_kept(image_format, finishing):
    file = photo_file(image_format=image_format) + finishing
    photo = reencode(file)
    assert corners(opened(photo.whole)) == ["red", "green", "blue", "white"]
    for jpeg in (photo.whole, photo.small):
        assert _is_bare(jpeg)
        assert b"script" not in jpeg
        assert b"PK\x03\x04" not in jpeg
        assert not zipfile.is_zipfile(io.BytesIO(jpeg))


def test_what_was_hidden_in_its_comment_is_not_kept():
    photo = reencode(file_of(quarters(), comment=SCRIPT))
    assert b"script" not in photo.whole + photo.small


def test_a_second_picture_behind_a_jpeg_is_none_that_moves():
    """As telephones write them: the photo, and its depth or brightness behind it."""
    file = file_of(quarters(), "MPO", save_all=True, append_images=[Image.new("RGB", (80, 60), "black")])
    assert opened(file).n_frames == 2
    assert corners(opened(reencode(file).whole)) == ["red", "green", "blue", "white"]


def test_ink_colours_become_those_of_a_screen():
    photo = reencode(file_of(quarters().convert("CMYK")))
    assert opened(photo.whole).mode == "RGB"
    assert corners(opened(photo.whole)) == ["red", "green", "blue", "white"]


@pytest.mark.parametrize(("image_format", "more"), [("PNG", {}), ("WEBP", {"lossless": True})])
def test_what_can_be_seen_through_stands_on_white(image_format, more):
    holed = quarters().convert("RGBA")
    holed.paste((0, 0, 0, 0), (0, 0, 40, 30))
    photo = reencode(file_of(holed, image_format, **more))
    assert corners(opened(photo.whole)) == ["white", "green", "blue", "white"]


def _palette():
    image = Image.new("P", (20, 20), 1)
    image.putpalette([0, 0, 0, 220, 20, 30])
    return image


@pytest.mark.parametrize("see_through", [None, 1, b"\xff\x00"], ids=["none", "one", "each"])
def test_a_picture_with_a_palette_is_taken(see_through):
    more = {} if see_through is None else {"transparency": see_through}
    photo = reencode(file_of(_palette(), "PNG", **more))
    assert corners(opened(photo.whole))[0] == ("red" if see_through is None else "white")


@pytest.mark.parametrize(("level", "grey"), [(0, 0), (257, 1), (32896, 128), (65535, 255)])
def test_grey_of_sixteen_bits_is_not_cut_off(level, grey):
    """65535 / 255 = 257: full white is full white, and the middle is the middle."""
    image = Image.frombytes("I;16", (16, 16), struct.pack("<H", level) * 256)
    pixel = opened(reencode(file_of(image, "PNG")).whole).getpixel((8, 8))
    assert all(abs(part - grey) <= 1 for part in pixel)


@pytest.mark.parametrize("mode", ["1", "L", "LA"])
def test_pictures_without_colours_are_taken(mode):
    image = Image.new(mode, (20, 20), 1 if mode == "1" else 255 if mode == "L" else (255, 255))
    assert nearest(opened(reencode(file_of(image, "PNG")).whole).getpixel((5, 5))) == "white"


# What is refused, and with which sentence.


def test_a_file_without_a_byte():
    assert _refused(b"") == NOTHING


def test_more_than_twenty_megabytes():
    file = photo_file() + b"\0" * (MOST_BYTES + 1 - len(photo_file()))
    assert _refused(file) == TOO_HEAVY
    assert reencode(file[:MOST_BYTES]).width == 80


def test_a_bomb_of_pixels_is_refused_by_its_head():
    file = _png_that_says(60_000, 60_000)
    assert len(file) < 200
    said = _refused(file)
    assert "3,600 megapixels" in said
    assert "40" in said


def test_forty_megapixels_are_the_most(monkeypatch):
    monkeypatch.setattr("app.actions.photos.reencode.MOST_PIXELS", 4800)
    assert reencode(photo_file(80, 60)).width == 80
    assert "megapixels" in _refused(photo_file(81, 60))


BOMB = """
import resource, sys, struct
from app.actions.photos.reencode import UnreadablePhoto, reencode
sys.path.insert(0, {root!r})
from tests.actions.photos.test_reencode import _png_that_says, _webp_that_says
bombs = [_png_that_says(60_000, 60_000), _webp_that_says(16_383, 16_383)]
before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
for bomb in bombs:
    try:
        reencode(bomb)
    except UnreadablePhoto as refused:
        print(refused)
print((resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) // 1024)
"""


def _webp_that_says(width, height):
    """A canvas of any size with one small picture on it, as the container's specification lays it out (VP8X, ANIM,
    ANMF)."""
    small = file_of(Image.new("RGB", (8, 8), "red"), "WEBP")[12:]

    def of_three(number):
        return struct.pack("<I", number)[:3]

    def chunk(name, data):
        return name + struct.pack("<I", len(data)) + data

    canvas = b"\x02\0\0\0" + of_three(width - 1) + of_three(height - 1)
    frame = of_three(0) * 2 + of_three(7) * 2 + of_three(100) + b"\0" + small
    body = b"WEBP" + chunk(b"VP8X", canvas) + chunk(b"ANIM", b"\0" * 6) + chunk(b"ANMF", frame)
    return b"RIFF" + struct.pack("<I", len(body)) + body


@pytest.mark.skipif(sys.platform != "linux", reason="ru_maxrss is in kilobytes on Linux only")
def test_a_bomb_takes_no_memory(request):
    """Unpacked, the first would take ten gigabytes."""
    root = str(request.config.rootpath)
    said = subprocess.run(
        [sys.executable, "-c", BOMB.format(root=root)], cwd=root, capture_output=True, text=True, check=True
    ).stdout.splitlines()
    assert len(said) == 3
    assert "3,600 megapixels" in said[0]
    assert "268 megapixels" in said[1]
    assert int(said[2]) < 50


@pytest.mark.parametrize(
    "file",
    [SVG, SCRIPT, b"This is a text.\n" * 50, _zipped(), b"\xff\xd8\xff", b"%PDF-1.7 ", b"\0" * 5000],
    ids=["drawing with a script", "page", "text", "archive", "three bytes", "document", "zeros"],
)
def test_what_is_no_photo_is_refused(file):
    assert _refused(file) in (NO_PHOTO, BROKEN)


@pytest.mark.parametrize("image_format", ["GIF", "BMP", "TIFF", "ICO", "PPM", "TGA"])
def test_pictures_of_other_formats_are_refused(image_format):
    assert _refused(file_of(quarters(32, 32), image_format)) == NO_PHOTO


@pytest.mark.parametrize("image_format", ["PNG", "WEBP"])
def test_a_picture_that_moves_is_refused(image_format):
    frames = [quarters(), Image.new("RGB", (80, 60), "black")]
    assert _refused(file_of(frames[0], image_format, save_all=True, append_images=frames[1:])) == MOVING


def test_a_gif_that_moves_is_refused_as_a_gif():
    frames = [quarters(), Image.new("RGB", (80, 60), "black")]
    assert _refused(file_of(frames[0], "GIF", save_all=True, append_images=frames[1:])) == NO_PHOTO


@pytest.mark.parametrize("image_format", ["JPEG", "PNG", "WEBP"])
@pytest.mark.parametrize("share", [0.05, 0.5, 0.9])
def test_a_photo_that_broke_off_is_refused(image_format, share):
    whole = photo_file(600, 400, image_format)
    assert reencode(whole).width == 600
    assert _refused(whole[: int(len(whole) * share)]) in (BROKEN, NO_PHOTO)


def test_a_png_with_wrong_pixels_in_it_is_refused():
    file = bytearray(photo_file(image_format="PNG"))
    place = file.index(b"IDAT") + 10
    file[place : place + 4] = b"\xff\xff\xff\xff"
    assert _refused(bytes(file)) == BROKEN


def test_after_all_that_a_good_one_is_taken():
    for bad in (b"", SVG, _png_that_says(60_000, 60_000), photo_file()[:200]):
        _refused(bad)
    assert reencode(photo_file()).width == 80
