"""This module serves the stylesheets, scripts and pictures of the house. Each is read and compressed once, until
its file changes."""

import hashlib
import mimetypes
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from flask import Flask, Response, current_app, request
from werkzeug.exceptions import NotFound
from werkzeug.security import safe_join

from app.web.compression import BEST_LEVEL, gzipped, is_text, takes_gzip
from app.web.requests import without_session

YEAR_S = 365 * 24 * 3600
MOST_FILES = 64
"""So many files are kept; there are fewer."""


@dataclass(frozen=True, slots=True)
class StaticFile:
    """A file as it is sent. version: a short hash of its content. packed: its content in gzip; empty for a picture,
    which would get no shorter."""

    content: bytes
    packed: bytes
    mimetype: str
    version: str


def register_static_files(app: Flask) -> None:
    """Registers the view of all files of the house, in place of Flask's own."""
    app.view_functions["static"] = send_static
    app.add_url_rule("/favicon.ico", "icon", send_icon)


def asset(name: str) -> str:
    """Returns the address of a static file, which changes when the file does; it works also for a host name that
    is refused."""
    return f"{current_app.static_url_path}/{name}?v={_read(name).version}"


def send_static(filename: str) -> Response:
    """Returns a file of the house. Under the address of its version a browser need not ask for it again."""
    try:
        file = _read(filename)
    except OSError as exc:
        raise NotFound from exc
    response = Response(file.content, mimetype=file.mimetype)
    response.set_etag(file.version)
    if file.packed and takes_gzip():
        response.set_data(file.packed)
        response.headers["Content-Encoding"] = "gzip"
        response.set_etag(f"{file.version}-gzip")
    _say_how_long(response, file)
    response.make_conditional(request)
    return response


@without_session
def send_icon() -> Response:
    """Returns the icon for browsers that ask for it by the name that they know."""
    return send_static("icon.svg")


def _say_how_long(response: Response, file: StaticFile) -> None:
    """Says how long a browser may keep the file."""
    if request.args.get("v") == file.version:
        response.cache_control.public = response.cache_control.immutable = True
        response.cache_control.max_age = YEAR_S
    else:
        response.cache_control.no_cache = True


def _read(name: str) -> StaticFile:
    """Returns a static file. Raises OSError if there is none of this name."""
    path = _path_of(current_app.static_folder or "", name)
    known = path.stat()
    return _read_once(path, known.st_mtime_ns, known.st_size)


@lru_cache(MOST_FILES)
def _path_of(folder: str, name: str) -> Path:
    """Returns the path of a file in a folder and nowhere else; a page asks for the same dozen each time."""
    return Path(safe_join(folder, name) or "")


@lru_cache(MOST_FILES)
def _read_once(path: Path, _changed_ns: int, _size: int) -> StaticFile:
    """Returns a file as it was at this moment."""
    content, mimetype = path.read_bytes(), mimetypes.guess_type(path)[0] or "application/octet-stream"
    packed = gzipped(content, BEST_LEVEL) if is_text(mimetype) else b""
    return StaticFile(content, packed, mimetype, hashlib.sha256(content).hexdigest()[:12])
