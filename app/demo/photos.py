"""This module draws invented photos for the demo's designs: balloons in front of a wall, as a phone would take
them."""

from collections.abc import Mapping
from functools import cache
from io import BytesIO

from PIL import Image, ImageDraw, ImageFilter

from app.actions.context import Context
from app.actions.photos.photos import add_to_design
from app.actions.photos.reencode import ReencodedPhoto, reencode

Colour = tuple[int, int, int]
Balloon = tuple[float, float, float, Colour]
"""The place of its middle and its width, in thousandths of the picture, and its colour."""

WIDTH, HEIGHT = 1200, 1500
TEAL, COPPER, SILVER, NIGHT, GOLD = (38, 128, 130), (183, 105, 70), (196, 201, 207), (34, 44, 92), (206, 164, 74)
LILAC, CREAM, PEACH = (170, 140, 200), (240, 232, 214), (243, 178, 148)


def _bouquet(colours: tuple[Colour, ...], top: Colour, layers: int = 3) -> list[Balloon]:
    """Returns the balloons of a bouquet: layers of three, and one above them."""
    shifts = (330, 670, 500)
    threes = [
        (shifts[place] + (layer % 2) * 20 - 10, 700 - 150 * layer + (0, 15, 60)[place], 300, colours[(layer + place) % len(colours)])
        for layer in range(layers)
        for place in range(3)
    ]  # fmt: skip
    return [*threes, (500, 700 - 150 * layers, 340, top)]


def _column() -> list[Balloon]:
    fours = ((PEACH, 410), (CREAM, 520), (PEACH, 630), (CREAM, 470), (PEACH, 580))
    return [
        (
            x + 30 * (row % 2) - 15,
            1080 - 86 * row,
            175,
            colour if row % 2 else (CREAM if colour == PEACH else PEACH),
        )
        for row in range(11)
        for colour, x in fours[:4]
    ]


PICTURES: Mapping[str, list[Balloon]] = {
    "Harbour bouquet": _bouquet((TEAL, CREAM, COPPER), SILVER),
    "Moon and stars": _bouquet((NIGHT, GOLD), (222, 230, 240), layers=2),
    "Doorway column": _column(),
    "Table trio": [(400, 430, 300, LILAC), (610, 350, 300, CREAM), (500, 620, 300, LILAC)],
}


def add_photos(context: Context) -> None:
    """Adds a photo to each design that has a picture here, by its name."""
    for design in context.catalogue.designs.values():
        if design.name in PICTURES:
            add_to_design(
                context,
                design.id,
                [_photo(design.name)],
                f"demo photo of {design.name}",
            )


@cache
def _photo(name: str) -> ReencodedPhoto:
    """Returns the re-encoded photo of a design. It is drawn once, however many shops are filled."""
    return reencode(_draw_jpeg(PICTURES[name]))


def _draw_jpeg(balloons: list[Balloon]) -> bytes:
    """Returns the balloons in front of a wall as the bytes of a JPEG."""
    picture = Image.new("RGB", (WIDTH, HEIGHT), (226, 221, 212))
    draw = ImageDraw.Draw(picture)
    draw.rectangle((0, HEIGHT * 0.86, WIDTH, HEIGHT), fill=(178, 160, 140))
    for x, y, _, _ in balloons:
        draw.line((x * 1.2, y * 1.2, 600, HEIGHT * 0.9), fill=(150, 150, 150), width=3)
    picture = picture.filter(ImageFilter.GaussianBlur(2))
    for balloon in balloons:
        _draw_balloon(picture, *balloon)
    out = BytesIO()
    picture.save(out, "JPEG", quality=92)
    return out.getvalue()


def _draw_balloon(picture: Image.Image, x: float, y: float, width: float, colour: Colour) -> None:
    """Draws one round balloon, darker at its rim, with a light spot."""
    across, high = round(width * 1.2), round(width * 1.2 * 1.12)
    left, top = round(x * 1.2 - across / 2), round(y * 1.2 - high / 2)
    body = Image.new("RGB", (across, high), tuple(part * 7 // 10 for part in colour))
    draw = ImageDraw.Draw(body)
    for step in range(40):
        share = 1 - step / 40
        lit = tuple(round(part * (1 - 0.3 * share)) for part in colour)
        dx, dy = across * (0.5 - 0.5 * share), high * (0.5 - 0.5 * share)
        draw.ellipse((dx * 0.8, dy * 0.75, across - dx * 1.2, high - dy * 1.25), fill=lit)
    draw.ellipse(
        (across * 0.26, high * 0.16, across * 0.4, high * 0.3), fill=tuple((part + 510) // 3 for part in colour)
    )
    rim = Image.new("L", (across * 2, high * 2), 0)
    ImageDraw.Draw(rim).ellipse((0, 0, across * 2 - 1, high * 2 - 1), fill=255)
    picture.paste(body.filter(ImageFilter.GaussianBlur(3)), (left, top), rim.resize((across, high)))
    ImageDraw.Draw(picture).polygon(
        [(left + across / 2, top + high - 4), (left + across / 2 - 12, top + high + 14), (left + across / 2 + 12, top + high + 14)],
        fill=tuple(part * 6 // 10 for part in colour),
    )  # fmt: skip
