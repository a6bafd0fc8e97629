"""What a page says in its `data-` attributes, which no change of words touches, and in one of its elements."""

from tests.places.payloads import read_page


def marked(text, mark):
    """The attributes of all elements that have `data-<mark>`, in the order of the page."""
    return [attrs for _, attrs in read_page(text).tags if f"data-{mark}" in attrs]


def marks(text, mark):
    """The values of `data-<mark>`, in the order of the page."""
    return [attrs[f"data-{mark}"] for attrs in marked(text, mark)]


def text_of(text, id_):
    """What the element with this id says, on one line."""
    return " ".join(read_page(text).by_id[id_]["text"].split())
