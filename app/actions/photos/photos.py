"""Photos of designs and of finished orders: added, put in order, and removed."""

import secrets
from collections.abc import Sequence
from datetime import datetime, timedelta

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.actions.catalogue.designs import load_design
from app.actions.context import Context
from app.actions.errors import NotFound
from app.actions.photos.reencode import ReencodedPhoto
from app.actions.records.history import write_history
from app.actions.records.idempotency import save_once, saved_with_key
from app.actions.records.orders import load_order
from app.actions.records.taps import active_taps
from app.quoting.errors import Problem, Refused
from app.quoting.states import HandOverStep, OrderState, PhotoSize
from app.store.models import Order, Photo, PhotoImage
from app.store.queries.photos import photos_of_design, photos_of_order

MOST_PHOTOS = 24
ORDER_NOT_READY = "Order {number} is not ready yet. Add photos once it is ready."


def add_to_design(
    context: Context, design_id: int, encoded: Sequence[ReencodedPhoto], client_key: str
) -> list[Photo]:
    """Adds photos before those that the design has, and returns them. A second call with the same key adds nothing.
    Raises NotFound, Refused."""
    existing = photos_of_design(context.session, load_design(context.session, design_id).id)
    if _is_known(context.session, client_key):
        return existing
    _refuse_many(len(existing), len(encoded))
    for place, one in enumerate(encoded):
        photo = Photo(
            client_key=f"{client_key}-{place}",
            design_id=design_id,
            at=_next(existing, context.now),
            who=context.who,
        )
        _save(context.session, photo, one)
    return photos_of_design(context.session, design_id)


def add_to_order(context: Context, number: int, encoded: Sequence[ReencodedPhoto], client_key: str) -> list[Photo]:
    """Adds photos of a finished order, and returns them. A second call with the same key adds nothing. Raises
    NotFound, Refused."""
    order = load_order(context.session, number, to_change=True)
    existing = photos_of_order(context.session, order.id)
    if _is_known(context.session, client_key):
        return existing
    if not is_finished(context.session, order):
        sentence = ORDER_NOT_READY.format(number=number)
        raise Refused(Problem("photos", sentence))
    _refuse_many(len(existing), len(encoded))
    for place, one in enumerate(encoded):
        _save(
            context.session,
            Photo(client_key=f"{client_key}-{place}", order_id=order.id, at=context.now, who=context.who),
            one,
        )
    write_history(context, order, "photo added" if len(encoded) == 1 else f"{len(encoded)} photos added", [])
    return photos_of_order(context.session, order.id)


def is_finished(session: Session, order: Order) -> bool:
    """Returns whether the order can be photographed: it is ready or handed over."""
    if order.state != OrderState.OPEN:
        return order.state == OrderState.HANDED_OVER
    return any(tap.act == HandOverStep.READY for tap in active_taps(session, order.id, None))


def show_on_design(context: Context, key: str, design_id: int) -> Photo:
    """Shows a photo of an order on the design that was made from it. Raises NotFound, Refused."""
    photo = load_photo(context.session, key)
    if photo.order_id is None or photo.design_id not in (None, design_id):
        raise Refused(Problem("photo", "This photo already shows another design. Add it to this design as a file."))
    if photo.design_id is None:
        photo.at = _next(photos_of_design(context.session, design_id), context.now)
        photo.design_id = design_id
        context.session.flush()
    return photo


def put_first(context: Context, design_id: int, key: str) -> None:
    """Puts the photo before the others of the design. Raises NotFound."""
    photos = photos_of_design(context.session, design_id)
    photo = _one_of(photos, key)
    if photo is not photos[0]:
        photo.at = _next(photos, context.now)
        context.session.flush()


def remove_from_design(session: Session, design_id: int, key: str) -> None:
    """Removes the photo from the design, and deletes it unless an order has it too. Raises NotFound."""
    photo = _one_of(photos_of_design(session, design_id), key)
    photo.design_id = None
    _delete_if_nowhere(session, photo)


def remove_from_order(context: Context, number: int, key: str) -> None:
    """Removes the photo from the order, and deletes it unless a design has it too. Raises NotFound."""
    order = load_order(context.session, number, to_change=True)
    photo = _one_of(photos_of_order(context.session, order.id), key)
    photo.order_id = None
    _delete_if_nowhere(context.session, photo)
    write_history(context, order, "photo removed", [])


def load_photo(session: Session, key: str) -> Photo:
    """Returns the photo. Raises NotFound."""
    photo = session.scalar(select(Photo).where(Photo.key == key))
    if photo is None:
        raise NotFound("This photo does not exist. It may have been removed.")
    return photo


def _save(session: Session, photo: Photo, encoded: ReencodedPhoto) -> None:
    """Saves the photo under a name of its own, whatever the file was called."""
    photo.key, photo.width, photo.height = secrets.token_urlsafe(16), encoded.width, encoded.height
    if save_once(session, photo) is photo:
        for size, jpeg in ((PhotoSize.WHOLE, encoded.whole), (PhotoSize.SMALL, encoded.small)):
            session.add(PhotoImage(photo_id=photo.id, size=size, jpeg=jpeg))
        session.flush()


def _is_known(session: Session, client_key: str) -> bool:
    """Returns whether photos with this key are saved already."""
    return saved_with_key(session, Photo, f"{client_key}-0") is not None


def _refuse_many(existing: int, more: int) -> None:
    """Raises Refused if there would be too many photos."""
    if not more:
        raise Refused(Problem("photos", "Choose or take a photo first."))
    if existing + more > MOST_PHOTOS:
        sentence = f"There are {existing} photos here, and {MOST_PHOTOS} is the most. Remove some first."
        raise Refused(Problem("photos", sentence))


def _next(existing: Sequence[Photo], now: datetime) -> datetime:
    """Returns a moment later than those of all photos that are there, because the latest photo comes first."""
    return max([now, *(photo.at + timedelta(seconds=1) for photo in existing)])


def _one_of(photos: Sequence[Photo], key: str) -> Photo:
    """Returns the photo with this key. Raises NotFound."""
    photo = next((photo for photo in photos if photo.key == key), None)
    if photo is None:
        raise NotFound("This photo is not here. It may have been removed.")
    return photo


def _delete_if_nowhere(session: Session, photo: Photo) -> None:
    """Deletes the photo, with its pixels, if no design and no order has it."""
    if photo.design_id is None and photo.order_id is None:
        session.delete(photo)
    session.flush()
