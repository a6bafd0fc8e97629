"""What the pages of balloon types and supplies have in common."""

from app.web.requests import request_context


def plain(minor: int | None) -> str:
    """Returns money as it is typed; empty for None."""
    return "" if minor is None else request_context().formats.amount(minor)
