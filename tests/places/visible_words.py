"""Counts the words that somebody sees on a page without opening anything."""

from html.parser import HTMLParser

VOID = frozenset(
    {"meta", "link", "input", "img", "br", "hr", "path", "line", "rect", "circle", "col", "source", "wbr"}
)
UNSEEN = frozenset({"script", "style", "template", "svg", "select", "textarea"})
UNSEEN_CLASSES = frozenset({"caution", "hidden-label", "visually-hidden", "no-script"})


class _VisibleText(HTMLParser):
    def __init__(self, root):
        super().__init__()
        self.text = []
        self._root = root
        self._open = []

    def handle_starttag(self, tag, attrs):
        if tag not in VOID:
            self._open.append((tag, dict(attrs)))

    def handle_endtag(self, tag):
        while tag not in VOID and self._open and self._open.pop()[0] != tag:
            pass

    def handle_data(self, data):
        if self._is_inside_root() and not any(map(self._hides, range(len(self._open)))):
            self.text.append(data)

    def _is_inside_root(self):
        return not self._root or any(attrs.get("id") == self._root for _, attrs in self._open)

    def _hides(self, place):
        tag, attrs = self._open[place]
        if tag == "details" and "open" not in attrs:
            return not (place + 1 < len(self._open) and self._open[place + 1][0] == "summary")
        is_unseen = tag in UNSEEN or "hidden" in attrs or attrs.get("aria-hidden") == "true"
        return is_unseen or bool(UNSEEN_CLASSES & set((attrs.get("class") or "").split()))


def visible_words(page, root=""):
    """The words of the element with the id `root`, or of the whole page: not what is in a closed details element
    (its summary counts), in a script, a drawing or a field, hidden, or a caution."""
    parser = _VisibleText(root)
    parser.feed(page)
    return [word for word in "".join(f"{text} " for text in parser.text).split() if any(map(str.isalnum, word))]
