"""The addresses of single settings."""

from flask import url_for

from app.quoting.settings.all_settings import SETTINGS

SUBJECT_OF = {setting.key: setting.subject.key for setting in SETTINGS}


def setting_address(key: str) -> str:
    """Returns the address of the field of a setting."""
    return url_for("office.settings_of_subject", subject=SUBJECT_OF[key], _anchor=key)
