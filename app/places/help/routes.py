"""Help: the list of chapters with its search, and each chapter."""

from pathlib import Path
from typing import Any

from flask import Blueprint, Response, current_app, make_response, render_template, request

from app.actions.errors import NotFound
from app.places.help.chapters import CHAPTERS, Chapter, find_chapter
from app.places.help.curve import show_curve
from app.places.help.pictures import help_pictures
from app.places.help.search import MOST_LETTERS, find_sections, search_words
from app.places.help.sections import Section, read_sections
from app.places.help.settings_list import group_id, listed_settings, settings_by_group
from app.web.forms import ShopForm, TextField
from app.web.htmx import page_or_part
from app.web.requests import request_context

CHAPTER_OF_CURVE = "numbers"


class HelpSearchForm(ShopForm):
    """What to look for in the help."""

    q = TextField("Search the help")


help_pages = Blueprint("help", __name__, url_prefix="/help")


@help_pages.get("")
def contents() -> Response:
    """Shows the list of chapters, and what a search finds in them."""
    form = HelpSearchForm(request.args)
    typed = (form.q.data or "").strip()[:MOST_LETTERS]
    searched = bool(search_words(typed))
    hits = find_sections(typed, _all_sections()) if searched else []
    page = render_template(
        "help/contents.html", form=form, typed=typed, searched=searched, hits=hits, chapters=CHAPTERS
    )
    return make_response(page)


@help_pages.get("/curve")
def curve() -> Response:
    """Shows the float curve for what the sliders say: as a part of the chapter, or as a page of its own."""
    shown = show_curve(request.args)
    status = 422 if shown and shown.drawn is None else 200
    return page_or_part(
        "help/curve.html",
        "help/_curve.html",
        status,
        curve=shown,
        here=find_chapter(CHAPTER_OF_CURVE),
        chapters=CHAPTERS,
    )


@help_pages.get("/<chapter>")
def chapter(chapter: str) -> Response:
    """Shows a chapter."""
    found = find_chapter(chapter)
    if found is None:
        raise NotFound("There is no such help chapter. Choose one from the list at Help.")
    shown = show_curve({}) if found.key == CHAPTER_OF_CURVE else None
    body = render_template(found.template, curve=shown, **_chapter_variables())
    sections = [section for section in read_sections(body) if section.depth == 0]
    page = render_template(
        "help/chapter.html", form=HelpSearchForm(), here=found, body=body, sections=sections, chapters=CHAPTERS
    )
    return make_response(page)


def _all_sections() -> list[tuple[Chapter, list[Section]]]:
    """Returns every chapter with its sections."""
    variables = _chapter_variables()
    return [(one, read_sections(render_template(one.template, **variables))) for one in CHAPTERS]


def _chapter_variables() -> dict[str, Any]:
    """Returns what the templates of the chapters show."""
    formats = request_context().formats
    return {
        "settings": listed_settings(formats),
        "groups": settings_by_group(formats),
        "group_id": group_id,
        "pictures": help_pictures(Path(current_app.static_folder or "")),
    }
