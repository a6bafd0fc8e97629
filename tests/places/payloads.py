"""What a browser sends from the order form and from the bench, and how a page is read back."""

import html
import re
from functools import lru_cache
from html.parser import HTMLParser

PLAIN = {
    "client_key": "key-1",
    "customer": "Wilhelmina Hart",
    "phone": "01632 960101",
    "occasion": "event",
    "event_start-day": "2026-11-21",
    "event_start-hour": "15:00",
    "lasts_until-day": "2026-11-21",
    "lasts_until-hour": "19:00",
    "surroundings": "indoors",
    "hand_over": "collect",
    "hand_over_time-day": "2026-11-21",
    "hand_over_time-hour": "14:00",
    "lines-0-what": "balloon_type:4",
    "lines-0-quantity": "24",
    "lines-0-colours": "12 red, 12 white",
    "lines-0-gas": "helium",
    "notes": "Ring the bell twice.",
    "accepted_risk": "",
}
"""Two dozen 11-inch latex for this afternoon."""

CALLED_OFF = {"version": "1", "reason": "customer", "fee": "0"}
"""What the form of an order sends that is cancelled without a fee."""


def payload(**changes):
    """The plain order with some fields changed; a double underscore stands for a hyphen, None takes a field out."""
    sent = PLAIN | {name.replace("__", "-"): value for name, value in changes.items()}
    return {name: value for name, value in sent.items() if value is not None}


def take(client, **changes):
    """Take an order through the counter; its number."""
    answer = client.post("/counter/orders", data=payload(**changes))
    assert answer.status_code == 303, answer.text
    return int(answer.location.rpartition("/")[2])


def _is_summary(attrs):
    return "error-summary" in (attrs.get("class") or "").split()


class Page(HTMLParser):
    """A page's fields, texts by id, and the order of its tags' attributes; of the summaries of what is wrong, their
    words and the ids that they link to. Its token, which is another in every answer, is no such field."""

    VOID = frozenset({"meta", "link", "input", "img", "br", "hr", "path", "line", "rect", "circle"})

    def __init__(self, text):
        super().__init__()
        self.tags = []
        self.by_id = {}
        self.values = {}
        self.summary = ""
        self.links = []
        self._open, self._texts, self._summaries = [], [], 0
        self.feed(text)
        while self._open:
            self._close()

    def updatepos(self, i, j):  # the place in the text, for which nobody asks
        return j

    def handle_starttag(self, tag, attrs):
        attrs = dict(attrs)
        self.tags.append((tag, attrs))
        self._keep_value(tag, attrs)
        if attrs.get("id"):
            self.by_id[attrs["id"]] = attrs | {"text": ""}
        if tag == "a" and self._summaries:
            self.links.append(attrs["href"].removeprefix("#"))
        if tag not in self.VOID:
            self._open.append((tag, attrs, len(self._texts)))
            self._summaries += _is_summary(attrs)

    def handle_endtag(self, tag):
        while tag not in self.VOID and self._open and self._close() != tag:
            pass

    def _close(self):
        """The tag that was opened last, whose text is all that was read since."""
        tag, attrs, begin = self._open.pop()
        if attrs.get("id"):
            self.by_id[attrs["id"]]["text"] += "".join(self._texts[begin:])
        if tag == "textarea" and self._texts[begin:]:
            self.values[attrs["name"]] = "".join(self._texts[begin:])
        if _is_summary(attrs):
            self._summaries -= 1
            self.summary += "" if self._summaries else "".join(self._texts[begin:])
        return tag

    def handle_data(self, data):
        self._texts.append(data)

    def _keep_value(self, tag, attrs):
        if tag == "input" and attrs.get("name", "csrf_token") != "csrf_token":
            if attrs.get("type") not in ("radio", "checkbox") or "checked" in attrs:
                self.values[attrs["name"]] = attrs.get("value") or ""
        elif tag == "option" and "selected" in attrs:
            select = next(a for t, a, _ in reversed(self._open) if t == "select")
            self.values[select["name"]] = attrs.get("value", "")

    def problem(self, field):
        """The sentence at a field, '' when there is none."""
        found = self.by_id.get(f"{field}-problem")
        return " ".join(found["text"].split()) if found else ""

    def focus(self):
        """The id that the page's summary names for the focus; '' where that is the summary itself."""
        return next((attrs["data-focus"] for _, attrs in self.tags if "data-focus" in attrs), None)

    def describes(self, field):
        """Whether something on the page that can be focused points at the field's sentence."""
        wanted = f"{field}-problem"
        return any(wanted in (attrs.get("aria-describedby") or "").split() for _, attrs in self.tags)


@lru_cache(maxsize=8)
def read_page(text):
    """The page of a text that is looked at several times, and that nobody changes."""
    return Page(text)


def words(text):
    """What a page says, without its marks, on one line."""
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", text)).split())
