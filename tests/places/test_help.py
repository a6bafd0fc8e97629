"""The help: every page leads to its own section, every setting and key is explained, and the search finds them."""

import html
import re
from pathlib import Path

import pytest

from app.places.help.chapters import CHAPTERS
from app.places.help.search import find_sections
from app.places.help.sections import Section, read_sections
from app.places.help.settings_list import listed_settings
from app.quoting.settings.all_settings import CAUTION, SETTINGS
from app.store.models import DesignRow, SupplyRow
from app.web.formats import Formats
from app.web.help_links import HELP_OF_PAGES, HELP_OF_PLACES
from tests.actions.cylinder_helpers import cylinder
from tests.actions.photographs import photo_of_order
from tests.places.payloads import Page

ROOT = Path(__file__).resolve().parents[2]
NO_PAGES = {
    "bench.more",
    "counter.callers",
    "counter.goods",
    "day_echo",
    "office.long_work",
    "hours_echo",
    "icon",
    "static",
    "front",
    "photos.pixels",
}
"""What has no header: parts that htmx puts into a page, files, and the address that leads on to the bench."""
KEYS_OF_BROWSERS = {"Tab"}
KEY_SIGNS = {"ArrowDown": "↓", "ArrowUp": "↑", "Escape": "Esc"}
"""How the help writes the names that browsers give to keys."""


def _chapter(client, key):
    page = client.get(f"/help/{key}")
    assert page.status_code == 200
    return page.text


def _pages(app):
    """The endpoints of all pages that are read, those of the help left out."""
    for rule in app.url_map.iter_rules():
        name = rule.endpoint
        is_read = "GET" in rule.methods and not rule.rule.endswith((".csv", ".json"))
        if is_read and name not in NO_PAGES and not name.startswith("help."):
            yield rule


@pytest.fixture
def numbers(database, number):
    """Something for each number in an address."""
    with database.writing() as session:
        design = session.query(DesignRow.id).order_by(DesignRow.id).first()
        return {
            "number": number,
            "key": f"{number}-1",
            "customer_id": 1,
            "balloon_type_id": 4,
            "subject": "float-times",
            "supply_id": session.query(SupplyRow.id).order_by(SupplyRow.id).first()[0],
            "cylinder_id": cylinder(session).id,
            "photo": photo_of_order(session, number).key,
            "design_id": design[0] if design else None,
        }


def test_each_page_leads_to_a_section_that_is_there(app, client, numbers):
    looked_at = set()
    for rule in _pages(app):
        address = re.sub(r"<(?:\w+:)?(\w+)>", lambda found: str(numbers[found[1]]), rule.rule)
        if "None" in address:
            continue
        page = client.get(address)
        assert page.status_code == 200, address
        link = re.search(r'<a class="help-link" href="([^"]+)"', page.text)[1]
        path, _, section = link.partition("#")
        assert section, address
        assert f'id="{section}"' in _chapter(client, path.removeprefix("/help/")), address
        assert link == f"/help/{HELP_OF_PAGES[rule.endpoint]}"
        looked_at.add(rule.endpoint)
    assert len(looked_at) > 35


def test_every_page_has_its_own_entry_and_every_entry_its_page(app):
    assert {rule.endpoint for rule in _pages(app)} == HELP_OF_PAGES.keys()


def test_each_section_that_pages_link_to_is_there(client):
    targets = sorted({*HELP_OF_PAGES.values(), *HELP_OF_PLACES.values()})
    chapters = {target.partition("#")[0] for target in targets}
    there = {f"{key}#{one.id}" for key in chapters for one in read_sections(_chapter(client, key))}
    assert [target for target in targets if target not in there] == []


def test_a_form_that_was_not_saved_leads_to_the_help_of_its_place(client):
    refused = client.post("/counter/orders", data={})
    assert refused.status_code == 422
    assert f'class="help-link" href="/help/{HELP_OF_PLACES["counter"]}"' in refused.text


def test_the_help_itself_has_no_question_mark_and_is_marked_in_the_menu(client):
    for address in ("/help", "/help/counter"):
        page = client.get(address).text
        assert "help-link" not in page
        assert re.search(r'href="/help" aria-current="page">Help</a>', page)


def test_each_chapter_opens_in_an_empty_shop_and_its_links_lead_somewhere(client):
    """One test for all, so that no page is drawn for each link to it."""
    opened = {}
    for chapter in CHAPTERS:
        here = f"/help/{chapter.key}"
        page = _opened(client, here, opened)
        assert len(re.findall(r"<h1\b", page)) == 1
        sections = read_sections(page)
        assert sections
        assert all(one.id and one.title for one in sections)
        ids = re.findall(r'\sid="([^"]+)"', page)
        assert len(ids) == len(set(ids))
        main = page[page.index("<main") : page.index("</main>")]
        for link in set(re.findall(r'href="([^"]+)"', main)):
            path, _, anchor = link.partition("#")
            there = _opened(client, path or here, opened)
            assert not anchor or f'id="{anchor}"' in there, (here, link)


def _opened(client, address, opened):
    """The text of a page, which is drawn once."""
    if address not in opened:
        with client.get(address) as answer:
            assert answer.status_code == 200, address
            opened[address] = answer.text if answer.mimetype == "text/html" else ""
    return opened[address]


def test_a_chapter_that_is_not_there_is_answered_404(client):
    assert client.get("/help/nowhere").status_code == 404


def test_the_help_lists_every_chapter(client):
    page = client.get("/help").text
    for chapter in CHAPTERS:
        assert f'href="/help/{chapter.key}"' in page


def test_a_first_day_has_ten_steps(client):
    steps = [one.id for one in read_sections(_chapter(client, "first-day"))]
    assert steps == [f"step-{number}" for number in range(1, 11)]


def test_the_caution_is_the_laws_own_word_for_word(client):
    assert CAUTION in {one.id: one for one in read_sections(_chapter(client, "cautions"))}["choking"].text


def test_the_numbers_say_what_is_promised_and_what_is_not_included(client):
    sections = {one.id: one.text for one in read_sections(_chapter(client, "numbers"))}
    for left_out in ("damp air", "gusts", "air conditioning", "children", "foil"):
        assert left_out in sections["not-included"].lower()
    assert {"float-time", "load", "treatment", "light", "chance", "window", "wind"} <= sections.keys()
    for figure in ("90%", "22 of 24", "0.25", "0.45", "0.21", "0.05", "0.1", "0.15"):
        assert figure in sections["chance"]
    for hours in ("6 h", "24 h", "120 h", "336 h"):
        assert hours in sections["light"]
    assert "5 m/s" in sections["wind"]


# Settings and keys.


def test_every_setting_is_explained_with_its_default_and_range(client, app):
    sections = {one.id: one for one in read_sections(_chapter(client, "settings"))}
    with app.test_request_context():
        listed = listed_settings(_formats(app))
    for setting in SETTINGS:
        section, one = sections[f"setting-{setting.key}"], listed[setting.key]
        assert section.title == " ".join(setting.label.split())
        for shown in (setting.meaning, one.default, one.allowed, one.source):
            assert " ".join(shown.split()) in section.text, setting.key


def test_ranges_and_defaults_are_those_of_the_settings(app):
    formats = _formats(app)
    listed = listed_settings(formats)
    assert listed.keys() == {setting.key for setting in SETTINGS}
    assert listed["certainty_percent"].default == "95%"
    assert listed["soon_minutes"].default == f"{formats.number(60)} min"
    assert listed["crew"].allowed == f"{formats.number(1)} to {formats.number(20)} people"
    assert listed["venue_minor"].default == formats.money(8000)
    assert listed["clock"].allowed == "24 h / 12 h"


def _formats(app):
    with app.database.reading() as session:
        return Formats.of(app.shop_cache.load(session).shop)


def test_money_is_in_the_shops_own_currency(client):
    client.post("/office/settings", data={"currency_symbol": "kr", "clock": "12 h"})
    section = {one.id: one for one in read_sections(_chapter(client, "settings"))}["setting-venue_minor"]
    assert "kr" in section.text


def test_every_key_that_a_page_names_is_explained(client):
    named = _keys_of_pages()
    assert len(named) >= 6
    assert named <= _explained_keys(client)


def test_every_key_of_the_lists_is_explained(client):
    assert _keys_of_lists() == {"↓", "↑", "Esc", "Enter", "Tab"}
    assert _keys_of_lists() <= _explained_keys(client)


def test_every_key_that_is_explained_is_there(client):
    assert _explained_keys(client) <= _keys_of_pages() | _keys_of_lists() | KEYS_OF_BROWSERS


def _explained_keys(client):
    return {attrs["data-key"] for _, attrs in Page(_chapter(client, "keys")).tags if "data-key" in attrs}


def _keys_of_pages():
    return {
        key
        for template in (ROOT / "app" / "templates").rglob("*.html")
        for key in re.findall(r"""data-keys(?:=|": )"([^"{]+)\"""", template.read_text(encoding="utf-8"))
    }


def _keys_of_lists():
    scripts = "".join(path.read_text(encoding="utf-8") for path in (ROOT / "static").glob("*.js"))
    return {KEY_SIGNS.get(key, key) for key in re.findall(r'event\.key === "(\w+)"', scripts)}


# The search.


def _found(client, typed):
    page = client.get("/help", query_string={"q": typed})
    assert page.status_code == 200
    hits = page.text[page.text.index('<ol class="help-hits">') :] if "help-hits" in page.text else ""
    return re.findall(r'<li>\s*<a href="(/help/[^"]+#[^"]+)">', hits), page.text


def test_it_finds_a_section_by_its_words_over_all_chapters(client):
    found, page = _found(client, "latex allergy")
    assert {"/help/counter#allergy", "/help/cautions#allergy"} <= set(found)
    assert int(re.search(r'data-found="(\d+)"', page)[1]) == len(found)


def test_all_words_must_be_there(client):
    assert _found(client, "latex")[0]
    found, page = _found(client, "latex zebra")
    assert found == []
    assert 'data-found="0"' in page
    assert 'href="/help/words"' in page


def test_titles_come_first(client):
    assert _found(client, "quick sale")[0][0] in ("/help/counter#quick-sale", "/help/keys#quick-sale")


@pytest.mark.parametrize("typed", ["HOLDING AREA", "hölding área", "  holding   area ", "hold ar"])
def test_case_accents_and_spaces_do_not_matter(client, typed):
    assert "/help/numbers#holding-area" in _found(client, typed)[0]


@pytest.mark.parametrize("typed", ["pick-ups", "pickups", "Pick ups"])
def test_hyphens_do_not_matter(client, typed):
    assert "/help/bench#up-to-date" in _found(client, typed)[0]


def test_a_single_setting_is_found_by_its_source(client):
    assert "/help/settings#setting-caution" in _found(client, "1278 CFR")[0]


def test_each_hit_leads_to_an_id_that_is_there(client):
    found, _ = _found(client, "order")
    assert len(found) > 10
    for link in found:
        path, _, anchor = link.partition("#")
        assert f'id="{anchor}"' in client.get(path).text


@pytest.mark.parametrize("typed", ["", "   ", "?", "“”", "_"])
def test_without_a_word_it_shows_the_chapters_only(client, typed):
    found, page = _found(client, typed)
    assert found == []
    assert "data-found" not in page


def test_what_was_typed_stays_in_the_field_and_is_never_markup(client):
    page = client.get("/help", query_string={"q": '<b>"latex"'})
    assert page.status_code == 200
    assert "<b>" not in page.text
    assert Page(page.text).by_id["q"]["value"] == '<b>"latex"'


def test_a_very_long_question_is_answered(client):
    assert client.get("/help", query_string={"q": "latex " * 3000}).status_code == 200


CHAPTER = CHAPTERS[0]


def _hit(typed, title, text):
    (hit,) = find_sections(typed, [(CHAPTER, [Section("one", 0, title, text)])])
    return hit


def test_words_are_marked_as_they_stand_in_title_and_text():
    hit = _hit("cafe red", "The CAFÉ", "Ask at the Café for <red> ones.")
    assert str(hit.title) == "The <mark>CAFÉ</mark>"
    assert str(hit.excerpt) == "Ask at the <mark>Café</mark> for &lt;<mark>red</mark>&gt; ones."


def test_an_excerpt_stands_around_the_first_word_and_is_cut_between_words():
    hit = _hit("needle", "Hay", "straw " * 100 + "needle " + "straw " * 100)
    plain = re.sub("<[^>]+>", "", str(hit.excerpt))
    assert plain.startswith("… straw ")
    assert plain.endswith(" straw …")
    assert "<mark>needle</mark>" in str(hit.excerpt)
    assert len(plain) < 240


def test_a_letter_that_folds_into_two_is_marked_whole():
    assert "<mark>Straße</mark>" in str(_hit("strasse", "Way", "The Straße is long.").excerpt)


def test_a_word_is_found_at_its_beginning_only():
    assert find_sections("art", [(CHAPTER, [Section("one", 0, "Start", "Press start.")])]) == []


def test_sections_in_sections_keep_their_own_texts():
    outer, inner = read_sections(
        '<section id="a"><h2>Outer</h2><p>one</p><section id="b"><h3>Inner</h3><p>two</p></section>three</section>'
    )
    assert (outer.title, outer.text, outer.depth) == ("Outer", "one. three", 0)
    assert (inner.title, inner.text, inner.depth) == ("Inner", "two.", 1)


def test_the_texts_of_blocks_do_not_run_into_each_other():
    (section,) = read_sections(
        '<section id="a"><h2>Dry</h2><p>Dry them</p><dl><dt>Default</dt><dd>0.45</dd><dt>May be</dt>'
        "<dd>0 to “2.”</dd></dl><ul><li>(see <b>bags</b>)</li><li>or ask?</li></ul></section>"
    )
    assert section.text == "Dry them. Default: 0.45. May be: 0 to “2.” (see bags). or ask?"


def test_names_for_programs_are_found_and_stand_in_no_excerpt():
    (section,) = read_sections(
        '<section id="a"><h2>Data</h2><p>To read.</p><ul data-names><li>ready_by</li></ul><p>More</p></section>'
    )
    assert (section.text, section.names) == ("To read. More.", "ready by")
    (hit,) = find_sections("ready_by", [(CHAPTER, [section])])
    assert str(hit.excerpt) == "To read. More."


def test_no_excerpt_of_the_help_has_a_raw_name(client):
    for word in ("treated", "ready", "chance", "batch", "late", "inflate_by"):
        page = client.get("/help", query_string={"q": word}).text
        hits = page.partition('<ol class="help-hits">')[2].partition("</ol>")[0]
        excerpts = [re.sub("<[^>]+>", "", one) for one in re.findall(r"<p>(.*?)</p>", hits, re.DOTALL)]
        assert excerpts
        assert not [one for one in excerpts if re.search(r"[a-z]_[a-z]", one)]


def test_the_help_asks_the_database_no_more_than_the_smallest_page_does(app, client):
    from tests.places.test_query_budget import counted  # noqa: PLC0415

    seen = {}
    for address in ("/staff/", "/help?q=latex", "/help/settings"):
        with counted(app) as statements:
            client.get(address)
        seen[address] = len(statements)
    assert seen["/help?q=latex"] < seen["/staff/"]  # which asks for the names
    assert seen["/help/settings"] < seen["/staff/"]


WORDS = """
Order, its lines|State of an order|Design, its parts|Balloon type|Batch|Fill size, sizer|Float time|Not before
Inflate by|Finishing|Ready by|Safe, Risky, Won't last|Can be ready, Can't be ready|What the customer accepted
Alternatives
Reason for accepting it anyway|Staff on shift|Filling point|Holding area|Burst|Cylinder, cylinder reading
Items to fetch|Build sheet|Work times|Confirmation|Rentals, out on rental|Quick sale|Hand-over|Main part, later part
Save|Float strip|Venue temperature, venue altitude
"""


def test_each_word_of_the_pages_has_a_sentence(client):
    page = _chapter(client, "words")
    found = dict(re.findall(r"<dt>([^<]+)</dt><dd>([^<]+)</dd>", page))
    said = {html.unescape(word): meaning for word, meaning in found.items()}
    assert {word for line in WORDS.split("\n") for word in line.split("|") if word} <= said.keys()
    assert all(re.fullmatch(r"[A-Z][^.]+\.", meaning) for meaning in said.values())
