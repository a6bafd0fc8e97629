"""The stylesheets of the house, as its tests read them."""

import re
from pathlib import Path

STATIC = Path(__file__).resolve().parents[2] / "static"
STYLESHEETS = {path.name: path.read_text(encoding="utf-8") for path in sorted(STATIC.glob("*.css"))}
HOUSE = STYLESHEETS["house.css"]
COMMENT = re.compile(r"/\*.*?\*/", re.DOTALL)
RULE = re.compile(r"([^{}]+)\{([^{}]*)\}")


def rules_of(name):
    """The rules of a stylesheet: what each is for, and its settings. Those within a condition stand like others."""
    for rule, said in RULE.findall(COMMENT.sub("", STYLESHEETS[name])):
        yield rule.strip(), [setting.strip() for setting in said.split(";") if setting.strip()]
