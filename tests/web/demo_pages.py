"""Reads the pages of the demo's shop: which ones there are, and what each says."""

import html
import re

LINK = re.compile(r'href="(/[^"#]*)')
SPOKEN_ATTRIBUTES = re.compile(r'\b(?:title|aria-label|alt|placeholder|value|data-say)="([^"]*)"')


def spoken(page):
    """Returns what a page says: its text, its title, and the attributes that are read out."""
    body = re.sub(r"<(script|style|svg defs)\b.*?</\1>", " ", page, flags=re.DOTALL)
    attributes = " · ".join(SPOKEN_ATTRIBUTES.findall(body))
    return html.unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", body)) + " · " + attributes)


def linked_pages(client, most_of_a_kind):
    """Yields the address and the answer of every page that links lead to, from the front door on; of each kind of
    page at most so many."""
    waiting, seen, kinds = ["/bench"], set(), {}
    while waiting:
        address = html.unescape(waiting.pop(0))
        kind = _kind(address)
        if address in seen or kinds.get(kind, 0) >= most_of_a_kind or address.startswith(("/static", "/photos")):
            continue
        seen.add(address)
        kinds[kind] = kinds.get(kind, 0) + 1
        answer = client.get(address)
        assert answer.status_code in (200, 302, 303), address
        if answer.mimetype == "text/html":
            waiting += LINK.findall(answer.text)
        yield address, answer


def _kind(address):
    """Returns the address without its numbers and without the values of its query."""
    return re.sub(r"[0-9]+", "N", re.sub(r"=[^&]*", "", address))
