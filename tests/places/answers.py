"""Reads the states that the answer of the order form names."""

from tests.places.payloads import read_page


def having(page, name):
    """The attributes of every element of the page that has this one."""
    return [attrs for _, attrs in page.tags if name in attrs]


def answer_states(text):
    """The states of the answer: verdict, can-make, already-unfit, short, price; empty where there is no answer."""
    found = having(read_page(text), "data-can-make")
    if not found:
        return {}
    return {name.removeprefix("data-"): value for name, value in found[0].items() if name.startswith("data-")}


def offers(text):
    """The alternatives that are offered, in their order: what each button sends, and what else it says."""
    return {attrs["value"]: attrs for _, attrs in read_page(text).tags if attrs.get("class") == "alternative"}


def advice(text):
    """The topics of the advice about wind and heat."""
    return [attrs["data-advice"] for attrs in having(read_page(text), "data-advice")]
