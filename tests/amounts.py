"""How much is tried where cases are drawn by chance: with `--deep`, many times as much."""

_deep = False


def choose_deep(deep):
    """Said once, before any test is collected."""
    global _deep  # noqa: PLW0603  parameters of tests are made when their file is imported
    _deep = deep


def amount(usual, deep):
    """How many cases this run tries."""
    return deep if _deep else usual
