"""The sections of a chapter, read from its rendered page."""

from dataclasses import dataclass
from html.parser import HTMLParser

HEADINGS = ("h2", "h3")
ENDS = {"dt": ":", "dd": ".", "li": ".", "p": ".", "h4": ":"}
"""What ends the text of a block that has no end of its own."""
INLINE = ("a", "abbr", "b", "code", "em", "i", "kbd", "mark", "q", "small", "span", "strong", "sub", "sup")


@dataclass(slots=True)
class Section:
    """A section of a chapter. depth: 0 for one that stands in no other section. names: the words of the names for
    programs that stand in it, which are found but not shown in an excerpt."""

    id: str
    depth: int
    title: str = ""
    text: str = ""
    names: str = ""


class _SectionReader(HTMLParser):
    """Collects each section that has an id, with its heading and its text. What stands in an inner section counts
    for that one only."""

    def __init__(self) -> None:
        super().__init__()
        self.sections: list[Section] = []
        self._open: list[Section] = []
        self._in_heading = False
        self._names_tag = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag == "section":
            self._open.append(Section(dict(attrs).get("id") or "", len(self._open)))
            self.sections.append(self._open[-1])
        if any(name == "data-names" for name, _ in attrs):
            self._names_tag = tag
        self._in_heading = self._in_heading or tag in HEADINGS
        self._separate(tag)

    def handle_endtag(self, tag: str) -> None:
        self._end_sentence(tag)
        self._separate(tag)
        if tag == self._names_tag:
            self._names_tag = ""
        if tag == "section":
            self._open.pop()
        if tag in HEADINGS:
            self._in_heading = False

    def handle_data(self, data: str) -> None:
        if not self._open:
            return
        if self._in_heading:
            self._open[-1].title += data
        elif self._names_tag:
            self._open[-1].names += data
        else:
            self._open[-1].text += data

    def _end_sentence(self, tag: str) -> None:
        """Ends the text of a block, so that the next one does not run into it: “Default: 0.45. May be: …”."""
        if not self._open or self._names_tag or tag not in ENDS:
            return
        text = self._open[-1].text.rstrip()
        if text and text.rstrip(")”")[-1:] not in tuple(".:;!?"):
            self._open[-1].text = f"{text}{ENDS[tag]}"

    def _separate(self, tag: str) -> None:
        """Puts a space between the texts of two blocks."""
        if self._open and tag not in INLINE:
            self._open[-1].text += " "


def read_sections(markup: str) -> list[Section]:
    """Returns the sections of a rendered chapter, their white space reduced to single spaces."""
    reader = _SectionReader()
    reader.feed(markup)
    reader.close()
    for section in reader.sections:
        section.title, section.text = " ".join(section.title.split()), " ".join(section.text.split())
        section.names = " ".join(section.names.replace("_", " ").split())
    return reader.sections
