"""This module has the sentences of answers to requests that went wrong. They need no database."""

from collections.abc import Sequence

STATUS_SENTENCES = {
    403: "Only pages and programs on the shop's own server may ask this.",
    404: "This page does not exist. The link may be old or mistyped.",
    405: "This page cannot be used like that. Go back and use its buttons.",
    413: "That is more than a form can hold. Go back: what you typed is still there.",
    415: "Send JSON, with the content type application/json.",
}
UNEXPECTED_ERROR = "Something went wrong. Check whether it was saved, then try again."
WORK_FAILED = "Something went wrong. Nothing was saved. Try again."
PRESS_AGAIN = "It is safe to press again."
LOOK_FIRST = "Check whether it was saved before you press again."
STALE_FORM = "This form is too old to be saved. Go back, reload the page, and save again."
MOST_REPEATED = 40
"""So many characters of what was typed are repeated in a sentence."""
FORBIDDEN_CHARACTER = "A field has a character that cannot be saved. Type that field again."


def tell_number(number: str) -> str:
    """Returns the sentence with the number by which the log has an error."""
    return f"Tell us this number: {number}."


def unknown_host(name: str) -> str:
    """Returns the sentence for a host name that the server was not started with."""
    return f"This server does not know the name {name}. Start it again with STILLALOFT_HOSTS={name}."


def changed_meanwhile(names: Sequence[str], number: int) -> str:
    """Returns who changed the order while somebody had it open; names may be empty."""
    who = ", ".join(dict.fromkeys(names)) or "Somebody"
    return f"{who} changed order {number} while you had it open. Open it again, then go on."


def unreadable_day(text: str, sentence: str) -> str:
    """Returns the sentence for a day in an address that cannot be read. sentence: what would be right."""
    return f"“{text[:MOST_REPEATED]}” can't be read as a date. {sentence}"
