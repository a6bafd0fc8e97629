"""The states that a page shows in its tags: which fields are wrong, and what data- attributes say."""

from tests.places.payloads import read_page


def wrong_fields(text):
    """The ids of the fields at which a page has a sentence, in their order."""
    page = read_page(text)
    ids = (id_.removesuffix("-problem") for id_ in page.by_id if id_.endswith("-problem"))
    return [field for field in ids if page.problem(field)]


def is_refused(text):
    """Whether the page has a summary of what was not saved."""
    return bool(read_page(text).summary.strip())


def states(text, key):
    """The attributes of each tag that has this data- attribute, in their order."""
    return [attrs for _, attrs in read_page(text).tags if f"data-{key}" in attrs]


def values(text, key):
    """What this data- attribute says on each tag that has it, in their order."""
    return [attrs[f"data-{key}"] for attrs in states(text, key)]


def flashes(text):
    """How many messages the page shows after a press."""
    return sum("flash" in (attrs.get("class") or "").split() for _, attrs in read_page(text).tags)
