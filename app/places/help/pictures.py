"""The pictures of the help, as their list says that was written with them."""

import json
import mimetypes
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

FOLDER = "pictures"
LIST = "pictures.json"
mimetypes.add_type("image/webp", ".webp")  # Python knows it from 3.13 on


@dataclass(frozen=True, slots=True)
class HelpPicture:
    """A picture of a page. shows: what is seen in it, for those who cannot see it. files: its files below `static`,
    by how the page looks. Its width and height are in pixels."""

    shows: str
    width: int
    height: int
    files: Mapping[str, str]


@cache
def help_pictures(static: Path) -> Mapping[str, HelpPicture]:
    """Returns the pictures by their names, which the templates use. static: the folder in which they lie."""
    listed = json.loads((static / FOLDER / LIST).read_text(encoding="utf-8"))
    return {name: HelpPicture(**one, files=_files(name)) for name, one in listed.items()}


def _files(name: str) -> dict[str, str]:
    return {"light": f"{FOLDER}/{name}.webp", "dark": f"{FOLDER}/{name}-dark.webp"}
