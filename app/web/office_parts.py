"""The four parts of the office, their pages, and which of them is shown."""

from dataclasses import dataclass

from flask import request, url_for

PARTS: tuple[tuple[str, tuple[tuple[str, str], ...]], ...] = (
    ("Review", (("office.review", "Review"),)),
    (
        "Catalogue",
        (
            ("office.designs", "Designs"),
            ("office.balloon_types", "Balloon types"),
            ("office.supplies", "Supplies"),
        ),
    ),
    (
        "Stock and gas",
        (
            ("office.stock", "Stock"),
            ("office.buying", "Buying"),
            ("office.gas", "Gas"),
            ("office.rentals", "Rentals"),
        ),
    ),
    (
        "Shop",
        (
            ("office.settings", "Settings"),
            ("office.hours", "Opening hours"),
            ("office.bench", "Staff"),
            ("office.work_times", "Work times"),
            ("health.show", "Health"),
            ("office.backups", "Backups"),
        ),
    ),
)
"""Each part with its pages: their endpoints and what they are called."""
ALSO_BELOW = {
    "/office": "office.settings",
    "/office/timing": "office.settings",
    "/office/start": "office.settings",
    "/office/orders": "office.review",
}
"""Addresses that belong to a page without being below its own."""


@dataclass(frozen=True, slots=True)
class PartLink:
    """A link to a part or to a page of one. is_here: whether it is shown now."""

    label: str
    address: str
    is_here: bool


@dataclass(frozen=True, slots=True)
class OfficePart:
    """A part of the office with its pages."""

    link: PartLink
    pages: tuple[PartLink, ...]


def office_parts() -> list[OfficePart]:
    """Returns the parts, the first page of each being its address. Which page is shown follows from the address of
    the request, so that it is the same after a refused save."""
    here = _page_of(request.path)
    parts = []
    for label, pages in PARTS:
        links = tuple(PartLink(name, url_for(endpoint), endpoint == here) for endpoint, name in pages)
        is_here = any(link.is_here for link in links)
        parts.append(OfficePart(PartLink(label, links[0].address, is_here), links))
    return parts


def _page_of(path: str) -> str:
    """Returns the endpoint of the page to which an address belongs: the one with the longest address that begins
    it, else none."""
    pages = {url_for(endpoint): endpoint for _, names in PARTS for endpoint, _ in names} | ALSO_BELOW
    found = [address for address in pages if path == address or path.startswith(f"{address}/")]
    return pages[max(found, key=len)] if found else ""
