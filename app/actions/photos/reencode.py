"""A photo from a phone, encoded again: only what is seen on it is saved.

A file holds more than its picture: where and when it was taken, by whom, and what else is hidden in it. None of
that is saved, and a file that only pretends to be a photo is refused.
"""

from dataclasses import dataclass
from io import BytesIO
from threading import Semaphore
from typing import TYPE_CHECKING

from app.later import Later

if TYPE_CHECKING:
    from PIL import Image, ImageCms, ImageOps
else:
    # The library's own limit only warns near ours; `_refuse_bomb` refuses.
    Image = Later("PIL.Image", MAX_IMAGE_PIXELS=None)
    ImageCms, ImageOps = Later("PIL.ImageCms"), Later("PIL.ImageOps")

MOST_BYTES = 20 * 1024 * 1024
MOST_PIXELS = 40_000_000
WHOLE_PX = 1600
SMALL_PX = 360
FORMATS = ("JPEG", "PNG", "WEBP")
RESIZABLE_MODES = ("L", "RGB", "RGBA", "CMYK")
"""The modes of a picture that can be made smaller; others are converted to one of these first."""

NOTHING = "This file is empty. Take the photo again."
TOO_HEAVY = "This file is over 20 MB. Send the photo in a smaller size."
NO_PHOTO = "This file is not a photo that can be saved. Choose a JPEG, PNG or WebP picture."
MOVING = "This picture moves. Choose a still one."
BROKEN = "This photo is damaged or incomplete. Send it again."

_ONE_AT_A_TIME = Semaphore(1)
"""Only one photo is encoded at a time: 40 megapixels take hundreds of megabytes meanwhile."""


@dataclass(frozen=True, slots=True)
class ReencodedPhoto:
    """A photo in its two sizes, as JPEG; width and height are those of the larger one."""

    whole: bytes
    small: bytes
    width: int
    height: int


class UnreadablePhoto(ValueError):
    """The message is a sentence for whoever sent the file."""


def reencode(file: bytes) -> ReencodedPhoto:
    """Returns the photo in its two sizes. Raises UnreadablePhoto."""
    if not file:
        raise UnreadablePhoto(NOTHING)
    if len(file) > MOST_BYTES:
        raise UnreadablePhoto(TOO_HEAVY)
    with _ONE_AT_A_TIME:
        whole = _read(file)
    small = whole.copy()
    small.thumbnail((SMALL_PX, SMALL_PX), Image.Resampling.LANCZOS)
    return ReencodedPhoto(whole=_jpeg(whole, 85), small=_jpeg(small, 80), width=whole.width, height=whole.height)


def _read(file: bytes) -> "Image.Image":
    """Returns the picture upright, in plain red, green and blue, at the size in which it is saved."""
    try:
        with Image.open(BytesIO(file), formats=FORMATS) as image:
            _refuse_bomb(image)
            _refuse_moving(image)
            return _plain(ImageOps.exif_transpose(_smaller(image)))
    except UnreadablePhoto:
        raise
    except Image.UnidentifiedImageError as none:
        raise UnreadablePhoto(NO_PHOTO) from none
    except Exception as trouble:  # a decoder may raise anything for a broken or hostile file
        raise UnreadablePhoto(BROKEN) from trouble


def _refuse_bomb(image: "Image.Image") -> None:
    """Raises UnreadablePhoto for too many pixels. The head of the file is enough; nothing is unpacked before."""
    pixels = image.width * image.height
    if pixels > MOST_PIXELS:
        raise UnreadablePhoto(
            f"This picture has {pixels / 1e6:,.0f} megapixels. Send one with at most {MOST_PIXELS / 1e6:.0f}."
        )


def _refuse_moving(image: "Image.Image") -> None:
    """Raises UnreadablePhoto for a moving picture.

    A JPEG of several pictures does not move: phones add one for depth or brightness, and the first is the photo.
    """
    if image.format in ("PNG", "WEBP") and getattr(image, "n_frames", 1) > 1:
        raise UnreadablePhoto(MOVING)


def _smaller(image: "Image.Image") -> "Image.Image":
    """Returns the picture no larger than it is saved; a large JPEG is already read at a half or a quarter of its
    size."""
    share = 2 * WHOLE_PX / max(image.size)
    image.draft(None, (max(1, int(image.width * share)), max(1, int(image.height * share))))
    if image.mode not in RESIZABLE_MODES:
        image = _eight_bits(image)
    image.thumbnail((WHOLE_PX, WHOLE_PX), Image.Resampling.LANCZOS)
    return image


def _eight_bits(image: "Image.Image") -> "Image.Image":
    """Returns the picture with 8 bits a channel."""
    if image.mode.startswith("I"):  # a plain conversion would cut 16 bits of grey off at 255
        return image.convert("I").point(lambda level: level / 257).convert("L")
    return image.convert("RGBA" if image.has_transparency_data else "RGB")


def _plain(image: "Image.Image") -> "Image.Image":
    """Returns the picture without transparency, on white."""
    if not image.has_transparency_data:
        return _as_screens_show(image).convert("RGB")
    image = _as_screens_show(image.convert("RGBA"))
    white = Image.new("RGB", image.size, "white")
    white.paste(image, mask=image.getchannel("A"))
    return white


def _as_screens_show(image: "Image.Image") -> "Image.Image":
    """Returns the picture in the colours that screens assume, if the file has a colour profile that can be read and
    fits."""
    profile = image.info.get("icc_profile")
    if not profile:
        return image
    mode = "RGBA" if image.mode == "RGBA" else "RGB"
    try:
        seen = ImageCms.profileToProfile(image, BytesIO(profile), ImageCms.createProfile("sRGB"), outputMode=mode)
    except ImageCms.PyCMSError:
        return image
    return seen or image


def _jpeg(image: "Image.Image", quality: int) -> bytes:
    """Returns the picture as JPEG."""
    bare = Image.new("RGB", image.size)  # a new image, since the writer would copy what else the old one carries
    bare.paste(image)
    out = BytesIO()
    bare.save(out, "JPEG", quality=quality, progressive=True, optimize=True)
    return out.getvalue()
