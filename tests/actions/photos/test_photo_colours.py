"""The colours of a photo that has a profile: kept as they looked, though no profile is kept.

Display P3's primaries are those of SMPTE EG 432-1 with the white D65; its columns below stand as its profile has
them, adapted to D50. sRGB's red in it is color(display-p3 0.917 0.2 0.139), as CSS Color Module Level 4 converts.
"""

import struct

import pytest
from PIL import Image, ImageCms

from app.actions.photos.reencode import reencode
from tests.actions.photographs import corners, file_of, opened, quarters

SRGB = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
P3 = {
    b"rXYZ": (0.51512, 0.24120, -0.00105),
    b"gXYZ": (0.29198, 0.69225, 0.04189),
    b"bXYZ": (0.15710, 0.06657, 0.78407),
}
SRGB_RED_IN_P3 = (234, 51, 35)


def profile_with(columns):
    """sRGB's, with other primaries: each is three fixed-point numbers 8 bytes into its tag (ICC.1, XYZType)."""
    made = bytearray(SRGB)
    for place in range(struct.unpack_from(">I", made, 128)[0]):
        name, start, _ = struct.unpack_from(">4sII", made, 132 + 12 * place)
        if name in columns:
            struct.pack_into(">3i", made, start + 8, *(round(one * 65536) for one in columns[name]))
    return bytes(made)


def drawn(colour, mode="RGB", image_format="PNG", **more):
    photo = reencode(file_of(Image.new(mode, (40, 40), colour), image_format, **more))
    for jpeg in (photo.whole, photo.small):
        assert "icc_profile" not in opened(jpeg).info
    return opened(photo.whole).getpixel((20, 20))


@pytest.mark.parametrize("image_format", ["PNG", "JPEG", "WEBP"])
def test_a_wide_gamut_is_turned_into_what_screens_show(image_format):
    seen = drawn(SRGB_RED_IN_P3, image_format=image_format, icc_profile=profile_with(P3))
    assert seen == pytest.approx((255, 0, 0), abs=6)


def test_what_can_be_seen_through_has_its_colours_too():
    seen = drawn((*SRGB_RED_IN_P3, 255), "RGBA", icc_profile=profile_with(P3))
    assert seen == pytest.approx((255, 0, 0), abs=6)
    assert drawn((*SRGB_RED_IN_P3, 0), "RGBA", icc_profile=profile_with(P3)) == (255, 255, 255)


def test_red_that_its_profile_calls_blue_is_blue():
    swapped = {b"rXYZ": _column(b"bXYZ"), b"bXYZ": _column(b"rXYZ")}
    photo = reencode(file_of(quarters(), "PNG", icc_profile=profile_with(swapped)))
    assert corners(opened(photo.whole)) == ["blue", "green", "red", "white"]


def _column(wanted):
    for place in range(struct.unpack_from(">I", SRGB, 128)[0]):
        name, start, _ = struct.unpack_from(">4sII", SRGB, 132 + 12 * place)
        if name == wanted:
            return [one / 65536 for one in struct.unpack_from(">3i", SRGB, start + 8)]
    raise AssertionError(wanted)


def test_what_is_srgb_already_stays():
    assert drawn((200, 120, 40), icc_profile=SRGB) == pytest.approx(drawn((200, 120, 40)), abs=2)


@pytest.mark.parametrize(
    "broken", [b"no profile at all", SRGB[:200], ImageCms.ImageCmsProfile(ImageCms.createProfile("LAB")).tobytes()]
)
def test_a_profile_that_is_broken_or_for_another_picture_is_passed_over(broken):
    assert drawn(SRGB_RED_IN_P3, icc_profile=broken) == drawn(SRGB_RED_IN_P3)
