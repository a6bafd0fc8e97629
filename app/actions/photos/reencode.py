"""A photo from a phone, drawn anew: nothing of the file is kept but what is seen on it.

What stands in a file beside its picture (where and when it was taken, by whom, what else is hidden in it) ends
here, and so does a file that only pretends to be a photo.
"""

from dataclasses import dataclass
from io import BytesIO
from threading import Semaphore

from PIL import Image, ImageCms, ImageOps

MOST_BYTES = 20 * 1024 * 1024
MOST_PIXELS = 40_000_000
WHOLE_PX = 1600
SMALL_PX = 360
FORMATS = ("JPEG", "PNG", "WEBP")
STRAIGHT = ("L", "RGB", "RGBA", "CMYK")
"""Made smaller as they are; the others are turned into one of these first."""

NOTHING = "That file is empty: nothing came with it. Take the photo again."
TOO_HEAVY = "That file is over 20 MB, the most that a photo may have here: send it in a smaller size."
NO_PHOTO = "That is no photo which can be kept here: a JPEG, PNG or WebP picture, please."
MOVING = "That picture moves: a still one, please."
BROKEN = "That photo is broken off or damaged: it could not be read to its end. Send it again."

Image.MAX_IMAGE_PIXELS = None  # its own bound warns first and refuses far above ours: `_refuse_bomb` is the one
_SRGB = ImageCms.createProfile("sRGB")
_ONE_AT_A_TIME = Semaphore(1)
"""40 megapixels take hundreds of megabytes while they are drawn."""


@dataclass(frozen=True, slots=True)
class ReencodedPhoto:
    """A photo in its two sizes, as JPEG; width and height are those of the whole."""

    whole: bytes
    small: bytes
    width: int
    height: int


class UnreadablePhoto(ValueError):
    """The message is a sentence for whoever sent the file."""


def reencode(file: bytes) -> ReencodedPhoto:
    """Raises UnreadablePhoto."""
    if not file:
        raise UnreadablePhoto(NOTHING)
    if len(file) > MOST_BYTES:
        raise UnreadablePhoto(TOO_HEAVY)
    with _ONE_AT_A_TIME:
        whole = _read(file)
    small = whole.copy()
    small.thumbnail((SMALL_PX, SMALL_PX), Image.Resampling.LANCZOS)
    return ReencodedPhoto(whole=_jpeg(whole, 85), small=_jpeg(small, 80), width=whole.width, height=whole.height)


def _read(file: bytes) -> Image.Image:
    """Upright, in plain red, green and blue, as large as it will be."""
    try:
        with Image.open(BytesIO(file), formats=FORMATS) as image:
            _refuse_bomb(image)
            _refuse_moving(image)
            return _plain(ImageOps.exif_transpose(_smaller(image)))
    except UnreadablePhoto:
        raise
    except Image.UnidentifiedImageError as none:
        raise UnreadablePhoto(NO_PHOTO) from none
    except Exception as trouble:  # whatever a decoder stumbles over in a stranger's bytes
        raise UnreadablePhoto(BROKEN) from trouble


def _refuse_bomb(image: Image.Image) -> None:
    """By what the head of the file says, before anything of it is unpacked."""
    pixels = image.width * image.height
    if pixels > MOST_PIXELS:
        raise UnreadablePhoto(
            f"That picture has {pixels / 1e6:,.0f} megapixels; {MOST_PIXELS / 1e6:.0f} is the most that is taken."
        )


def _refuse_moving(image: Image.Image) -> None:
    """A JPEG of several pictures does not: phones add one for depth or brightness, and the first is the photo."""
    if image.format in ("PNG", "WEBP") and getattr(image, "n_frames", 1) > 1:
        raise UnreadablePhoto(MOVING)


def _smaller(image: Image.Image) -> Image.Image:
    """At most as large as it will be; a large JPEG is already read at a half or a quarter of its size."""
    share = 2 * WHOLE_PX / max(image.size)
    image.draft(None, (max(1, int(image.width * share)), max(1, int(image.height * share))))
    if image.mode not in STRAIGHT:
        image = _eight_bits(image)
    image.thumbnail((WHOLE_PX, WHOLE_PX), Image.Resampling.LANCZOS)
    return image


def _eight_bits(image: Image.Image) -> Image.Image:
    if image.mode.startswith("I"):  # 16 bits of grey, which a plain conversion would cut off at 255
        return image.convert("I").point(lambda level: level / 257).convert("L")
    return image.convert("RGBA" if image.has_transparency_data else "RGB")


def _plain(image: Image.Image) -> Image.Image:
    """What can be seen through stands on white."""
    if not image.has_transparency_data:
        return _as_screens_show(image).convert("RGB")
    image = _as_screens_show(image.convert("RGBA"))
    white = Image.new("RGB", image.size, "white")
    white.paste(image, mask=image.getchannel("A"))
    return white


def _as_screens_show(image: Image.Image) -> Image.Image:
    """In the colours that go without a profile, if the file has one that can be read and fits the picture."""
    profile = image.info.get("icc_profile")
    if not profile:
        return image
    mode = "RGBA" if image.mode == "RGBA" else "RGB"
    try:
        seen = ImageCms.profileToProfile(image, BytesIO(profile), _SRGB, outputMode=mode)
    except ImageCms.PyCMSError:
        return image
    return seen or image


def _jpeg(image: Image.Image, quality: int) -> bytes:
    bare = Image.new("RGB", image.size)  # with nothing beside its pixels that the writer could copy
    bare.paste(image)
    out = BytesIO()
    bare.save(out, "JPEG", quality=quality, progressive=True, optimize=True)
    return out.getvalue()
