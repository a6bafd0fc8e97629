"""Pictures for tests, as files of every sort, and photos put up in the shop."""

import io

from PIL import Image

from app.actions.orders.hand_over import steps_of, take_step
from app.actions.photos.photos import add_to_design, add_to_order, is_finished
from app.actions.photos.reencode import reencode
from app.actions.records.orders import load_order
from app.quoting.states import HandOverStep
from tests.actions.builders import ANYWAY, WHO, at, ctx, tap

RED, GREEN, BLUE, WHITE = (220, 20, 30), (20, 160, 60), (30, 60, 200), (255, 255, 255)


def quarters(width=80, height=60):
    """Red top left, green top right, blue bottom left, white bottom right: any turn shows."""
    image = Image.new("RGB", (width, height), WHITE)
    image.paste(RED, (0, 0, width // 2, height // 2))
    image.paste(GREEN, (width // 2, 0, width, height // 2))
    image.paste(BLUE, (0, height // 2, width // 2, height))
    return image


def file_of(image, image_format="JPEG", **more):
    out = io.BytesIO()
    image.save(out, image_format, **more)
    return out.getvalue()


def photo_file(width=80, height=60, image_format="JPEG"):
    return file_of(quarters(width, height), image_format)


def opened(jpeg):
    return Image.open(io.BytesIO(jpeg))


def corners(image):
    """Which colour each corner is nearest to: top left, top right, bottom left, bottom right."""
    right, low = image.width - 1, image.height - 1
    places = ((0, 0), (right, 0), (0, low), (right, low))
    return [nearest(image.convert("RGB").getpixel(place)) for place in places]


def nearest(pixel):
    named = {"red": RED, "green": GREEN, "blue": BLUE, "white": WHITE}
    return min(named, key=lambda name: sum(abs(a - b) for a, b in zip(named[name], pixel, strict=True)))


def drawn(width=80, height=60):
    return reencode(photo_file(width, height))


def stand_ready(session, order):
    """Filled and taken through its steps, but the last."""
    for batch in order.batches:
        tap(session, batch, "finish", now=at(13), sure=True)
    for step in steps_of(treated=False):
        if step != HandOverStep.HANDED_OVER:
            take_step(ctx(session, who=WHO, now=at(13)), order.number, step, f"{order.number} {step}", sure=ANYWAY)


def photo_of_order(session, number, key="photo-1"):
    """Of the order as it stands ready."""
    order = load_order(session, number)
    if not is_finished(session, order):
        stand_ready(session, order)
    return add_to_order(ctx(session, who=WHO, now=at(13)), number, [drawn()], key)[-1]


def photo_of_design(session, design_id, now=None, key="photo-1"):
    return add_to_design(ctx(session, who=WHO, now=now or at(9)), design_id, [drawn()], key)[0]
