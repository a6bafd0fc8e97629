"""Office: the designs that are sold; a list of them, and one page to make and to change one."""

import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from flask import Blueprint, Response, flash, make_response, render_template, request, url_for

from app.actions.catalogue.designs import add_design, archive_design, change_design, load_design, preview_design
from app.actions.catalogue.seasons import describe_seasons
from app.actions.errors import NotFound
from app.actions.photos.from_order import design_from_order
from app.actions.photos.photos import add_to_design, load_photo, put_first, remove_from_design, show_on_design
from app.actions.records.catalogue import design_of
from app.craft.cost import CostLine
from app.places.office.design_advice import DesignAdvice
from app.places.office.design_form import DesignForm
from app.places.office.design_prefill import add_rows, advice_for, design_form_of, offer_goods, write_numbers
from app.places.office.starters import figures_of_starter, offered_starters
from app.quoting.catalogue import Catalogue, Design
from app.quoting.costs import current_design_price, design_cost, least_list_price, margin_at
from app.quoting.errors import Refused
from app.quoting.parts import describe_design
from app.store.models import DesignRow, Order
from app.store.queries.photos import first_photos, photos_of_design
from app.web.forms import read_id, sent_client_key
from app.web.forms.drawn import DRAWN, Drawn, drawn_fields
from app.web.htmx import new_key, page_or_part, see_other, wants_part
from app.web.photos import PhotosForm, accepts_photos, uploaded_photos
from app.web.requests import only_reads, request_context
from app.web.stored_form import StoredForm
from app.web.wording.photos import PHOTO_FIRST, PHOTO_REMOVED, PHOTOS_ADDED

PHOTO_DELETED = "Its photo was deleted meanwhile: open the design to add another."


@dataclass(frozen=True, slots=True)
class ShownPrice:
    """The price and cost of one piece. percent: of the margin; None if nothing is charged. least_minor: what the
    price should be at least; None if it is enough."""

    minor: int
    cost_minor: int
    cost: tuple[CostLine, ...]
    margin_minor: int
    percent: Fraction | None
    least_minor: int | None


@dataclass(frozen=True, slots=True)
class ShownDesign:
    """A design of the list."""

    row: Design
    note: str
    seasons: tuple[str, ...]
    price: ShownPrice


def register(office: Blueprint) -> None:
    """Registers the pages of designs and the presses at their photos."""
    office.get("/designs")(designs)
    office.get("/designs/new")(new_design)
    office.post("/designs/new")(save_new_design)
    office.get("/designs/<int:design_id>")(design)
    office.post("/designs/<int:design_id>")(save_design)
    office.post("/designs/draft")(draft_design)
    office.post("/designs/<int:design_id>/archive")(archive)
    office.post("/designs/<int:design_id>/restore")(restore)
    office.get("/designs/of-photo/<photo>")(design_of_photo)
    office.post("/designs/<int:design_id>/photos")(add_photos)
    office.post("/designs/<int:design_id>/photos/<photo>/first")(first_photo)
    office.post("/designs/<int:design_id>/photos/<photo>/remove")(remove_photo)


def designs() -> str:
    """Shows all designs."""
    catalogue = request_context().catalogue
    rows = sorted(catalogue.designs.values(), key=lambda row: row.archived_at is not None)
    pictures = first_photos(request_context().session) if rows else {}
    return render_template(
        "office/designs.html", designs=[_show(row, catalogue) for row in rows], pictures=pictures
    )


def _show(row: Design, catalogue: Catalogue) -> ShownDesign:
    """Returns the design as the list shows it."""
    seasons = tuple(describe_seasons([season]) for season in row.seasons)
    return ShownDesign(row, describe_design(row, catalogue), seasons, price_of(row))


def price_of(row: Design) -> ShownPrice:
    """Returns the price and cost of one piece."""
    shop, catalogue = request_context().shop, request_context().catalogue
    cost = design_cost(row, catalogue, shop)
    minor = current_design_price(row, catalogue, shop)
    left = margin_at(minor, cost, shop)
    least = least_list_price(minor, cost, shop)
    return ShownPrice(minor, left.cost_minor, cost, left.minor, left.percent, least)


def new_design() -> Response:
    """Shows the form of a new design, filled in from a starter if the address names one."""
    here = request_context()
    figures = figures_of_starter(request.args.get("starter", ""), here.catalogue)
    return design_page(design_form_of(preview_design(figures), here.formats) if figures else DesignForm())


def save_new_design() -> Response:
    """Saves a new design."""
    here, form = request_context(), DesignForm(request.form)
    if form.validate():
        try:
            row = add_design(here.context, form.design())
            flash(f"{row.name} saved.{_put_photo(form, row)}")
            return see_other(url_for("office.designs"))
        except Refused as refused:
            form.add_problems(refused.problems)
    return design_page(form, status=422)


def _put_photo(form: DesignForm, row: DesignRow) -> str:
    """Adds the photo of the order from which the design was made, and returns a sentence about it. Raises
    Refused."""
    try:
        if form.photo.data:
            show_on_design(request_context().context, form.photo.data, row.id)
    except NotFound:
        return f" {PHOTO_DELETED}"
    return ""


def design(design_id: int) -> Response:
    """Shows the form of a design."""
    row = load_design(request_context().session, design_id)
    return design_page(design_form_of(design_of(row), request_context().formats), row)


def save_design(design_id: int) -> Response:
    """Saves a changed design."""
    stored = _stored(design_id)
    here, form = request_context(), DesignForm(request.form)
    row = load_design(here.session, design_id)
    if stored.accepts(form):
        try:
            change_design(here.context, design_id, form.design())
            stored.write_history()
            flash(f"{row.name} saved. Orders that have it stay as they were sold.")
            return see_other(url_for("office.designs"))
        except Refused as refused:
            form.add_problems(refused.problems)
    return design_page(form, row, status=form.refused_status)


def _stored(design_id: int) -> StoredForm:
    """Returns what is stored of a design."""

    def read() -> Drawn:
        here = request_context()
        row = load_design(here.session, design_id)
        form = design_form_of(design_of(row), here.formats)
        offer_goods(form, here.catalogue, row)
        return drawn_fields(form)

    return StoredForm(f"design {design_id}", read)


@only_reads
def draft_design() -> Response:
    """Returns the form again after any press but Save, such as calculating, adding rows or choosing numbers;
    nothing is saved."""
    form, fix = DesignForm(request.form), request.form.get("fix", "work")
    row = _design_of_draft()
    if fix in ("more-parts", "more-supplies"):
        add_rows(form, fix.removeprefix("more-"))
    elif chosen := re.fullmatch(r"numbers-([0-9]{1,2})", fix):
        options = advice_for(
            form, request_context().catalogue, request_context().shop, request_context().formats
        ).options
        if (place := int(chosen[1])) < len(options):
            write_numbers(form, options[place])
    if fix == "live":
        return make_response(render_template("office/_design_answer.html", form=form, row=row, **_answer(form)))
    return design_page(form, row)


def _design_of_draft() -> DesignRow | None:
    """Returns the design that is changed; None for a new one."""
    design_id = read_id(request.args.get("design"))
    return load_design(request_context().session, design_id) if design_id else None


def archive(design_id: int) -> Response:
    """Stops selling a design."""
    row = archive_design(request_context().session, design_id, request_context().now)
    flash(f"{row.name} archived. Orders that have it stay as they are.")
    return see_other(url_for("office.designs"))


def restore(design_id: int) -> Response:
    """Sells an archived design again."""
    row = archive_design(request_context().session, design_id, None)
    flash(f"{row.name} restored.")
    return see_other(url_for("office.designs"))


def design_page(
    form: DesignForm, row: DesignRow | None = None, status: int = 200, photographing: PhotosForm | None = None
) -> Response:
    """Returns the page of a design; of a new one without a row. photographing: why no photo was added."""
    offer_goods(form, request_context().catalogue, row)
    if row and form.drawn is None:
        form.drawn = request.form.get(DRAWN)  # a draft keeps that of its page
        _stored(row.id).draw(form)
    shown: dict[str, Any] = {"form": form, "row": row, **_answer(form)}
    if not row:
        shown["starters"] = offered_starters(request_context().catalogue)
    if row and not wants_part():
        photos = photos_of_design(request_context().session, row.id)
        shown |= {"photos": photos, "photos_form": photographing or PhotosForm(), "photo_key": new_key()}
    return page_or_part("office/design.html", "office/_design.html", status, **shown)


def _answer(form: DesignForm) -> dict[str, DesignAdvice | ShownPrice | None]:
    """Returns the price and advice from what can be read so far; no sentence is put at its fields."""
    here = request_context()
    so_far = DesignForm(data=form.data)
    so_far.validate()
    figures = so_far.design()
    known = all(part.balloon_type_id in here.catalogue.balloon_types for part in figures.parts)
    known = known and all(supply_id in here.catalogue.supplies for supply_id, _ in figures.supplies)
    price = price_of(preview_design(figures)) if figures.parts and known else None
    return {"price": price, "advice": advice_for(so_far, here.catalogue, here.shop, here.formats)}


def design_of_photo(photo: str) -> Response:
    """Shows the form of a new design, filled in from the order that the photo shows, or from one line of it."""
    here, line_id = request_context(), read_id(request.args.get("line"))
    shown = load_photo(here.session, photo)
    order = here.session.get(Order, shown.order_id) if shown.order_id else None
    lines = [line for line in order.lines if line_id in (0, line.id)] if order else []
    if not lines:
        raise NotFound("That line is no longer in the order. Go back to the order and choose again.")
    figures = design_from_order(lines, {row.name for row in here.catalogue.designs.values()})
    form = design_form_of(preview_design(figures), here.formats)
    form.photo.data = photo
    return design_page(form)


@accepts_photos
def add_photos(design_id: int) -> Response:
    """Adds photos to a design."""
    here, key, form = request_context(), sent_client_key(), PhotosForm()
    try:
        add_to_design(here.context, design_id, uploaded_photos(), key)
    except Refused as refused:
        row = load_design(here.session, design_id)
        form.add_problems(refused.problems)
        return design_page(design_form_of(design_of(row), here.formats), row, 422, form)
    flash(PHOTOS_ADDED)
    return _redirect_to_photos(design_id)


def first_photo(design_id: int, photo: str) -> Response:
    """Makes a photo the first of its design, which the counter shows."""
    put_first(request_context().context, design_id, photo)
    flash(PHOTO_FIRST)
    return _redirect_to_photos(design_id)


def remove_photo(design_id: int, photo: str) -> Response:
    """Removes a photo from a design."""
    remove_from_design(request_context().session, design_id, photo)
    flash(PHOTO_REMOVED)
    return _redirect_to_photos(design_id)


def _redirect_to_photos(design_id: int) -> Response:
    """Returns a redirect to the photos on the design's page."""
    return see_other(url_for("office.design", design_id=design_id, _anchor="photos"))
