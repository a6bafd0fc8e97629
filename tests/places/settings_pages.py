"""The pages of the settings: each setting stands on that of its subject."""

from app.quoting.settings.all_settings import SETTINGS
from app.quoting.settings.subjects import SUBJECTS

ADDRESS_OF = {setting.key: f"/office/settings/{setting.subject.key}" for setting in SETTINGS}
ADDRESSES = [f"/office/settings/{one.key}" for one in SUBJECTS]


def page_with(client, key):
    """The text of the page on which a setting stands."""
    return client.get(ADDRESS_OF[key]).text
