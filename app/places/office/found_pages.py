"""Office: the pages that a search over the settings also finds, by plain words."""

from dataclasses import dataclass

from flask import url_for

from app.quoting.settings.search import has_all_words, search_words


@dataclass(frozen=True, slots=True)
class SearchedPage:
    """A page that holds what an owner may look for among the settings. holds: what is there, in a few words; words:
    by which it is also known."""

    endpoint: str
    title: str
    holds: str
    words: str


@dataclass(frozen=True, slots=True)
class FoundPage:
    """A page that the search found."""

    title: str
    address: str
    holds: str


HIRE = "hire"
"""What some people type for a rental."""
PAGES = (
    SearchedPage(
        "office.hours",
        "Opening hours",
        "When the shop is open on each weekday",
        "times days break lunch shut closing",
    ),
    SearchedPage(
        "office.closed_days",
        "Closed days and holidays",
        "Days on which the shop is closed, with a reason",
        "vacation christmas bank public shut",
    ),
    SearchedPage(
        "office.bench",
        "Staff",
        "How many people work at the bench, and when",
        "employees shifts rota people team hours",
    ),
    SearchedPage(
        "staff.choose",
        "Names and look",
        "Names of the staff; whether pages are dark or light",
        "employees people team dark night mode",
    ),
    SearchedPage(
        "office.balloon_type_prices",
        "Prices of balloon types",
        "What a balloon costs and sells for: plain, treated, filled only, topped up",
        "cost pack list foil latex sphere refill csv spreadsheet import export",
    ),
    SearchedPage(
        "office.supply_prices",
        "Prices of supplies",
        "What weights, ribbon, plush and bags cost and sell for; security deposits",
        f"cost pack list rentals {HIRE} csv spreadsheet import export",
    ),
    SearchedPage(
        "office.balloon_types",
        "Balloon types",
        "Materials, sizes and weights of balloons",
        "foil latex sphere archive",
    ),
    SearchedPage(
        "office.supplies", "Supplies", "Weights, ribbon, plush, bags, treatment, rentals", "archive extras gifts"
    ),
    SearchedPage(
        "office.designs",
        "Designs",
        "What is sold from a photo, its parts and its price",
        "bouquets photos pictures arch",
    ),
    SearchedPage("office.colours", "Colours", "How the colours of balloons look on pages", "colors swatches"),
    SearchedPage("office.stock", "Stock", "What is on the shelves", "count lots shelf inventory low warning"),
    SearchedPage(
        "office.buying", "Buying", "What to order from suppliers, and by when", "reorder low stock supplier"
    ),
    SearchedPage("office.gas", "Gas", "Cylinders, their readings, and helium needed", "bottles tanks helium"),
    SearchedPage(
        "office.rentals", "Rentals", "What is out on rental, and when it is due back", f"{HIRE} lent deposit"
    ),
    SearchedPage(
        "office.work_times",
        "Work times",
        "How long the work took here, by measurement",
        "speed minutes seconds pace",
    ),
    SearchedPage(
        "office.timing", "Time a fill", "How fast gas and air flow, by a stopwatch", "speed flow inflator"
    ),
    SearchedPage(
        "office.backups", "Backups", "Copies of all that is saved, and where they go", "copy restore folder"
    ),
    SearchedPage(
        "health.show", "Health", "Whether the app and its file are in order", "damage version problems disk"
    ),
    SearchedPage(
        "office.settings_history", "History of settings", "Who changed which setting, and when", "log undo"
    ),
    SearchedPage(
        "office.first_day", "First day", "What a new shop still needs, step by step", "begin start guide setup"
    ),
)


def find_pages(typed: str) -> list[FoundPage]:
    """Returns the pages that have every word at the beginning of one of theirs: first those with it in their title.
    Returns none if no word was typed."""
    words = search_words(typed)
    if not words:
        return []
    found = [one for one in PAGES if has_all_words(f"{one.title} {one.holds} {one.words}", words)]
    found.sort(key=lambda one: not has_all_words(one.title, words))
    return [FoundPage(one.title, url_for(one.endpoint), one.holds) for one in found]
