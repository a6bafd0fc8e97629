"""Each setting is read where the shop is built, or by a page that shows things as the shop chose."""

from pathlib import Path
from zoneinfo import ZoneInfo

from app.planning.opening import Opening
from app.quoting.settings.all_settings import SETTINGS
from app.quoting.shop import DEFAULT_VALUES, build_shop

ROOT = Path(__file__).resolve().parents[2]


class Read(dict):
    """Settings that note which of them were asked for."""

    def __init__(self, values):
        super().__init__(values)
        self.asked = set()

    def __getitem__(self, key):
        self.asked.add(key)
        return super().__getitem__(key)


def test_every_setting_is_read_by_the_shop_or_named_on_a_page():
    values = Read(DEFAULT_VALUES)
    build_shop(values, Opening(ZoneInfo("UTC"), {}, {}))
    pages = "".join(
        path.read_text(encoding="utf-8")
        for folder in ("web", "places", "templates")
        for path in (ROOT / "app" / folder).rglob("*")
        if path.suffix in (".py", ".html")
    )
    for setting in SETTINGS:
        assert setting.key in values.asked or setting.key in pages, setting.key
