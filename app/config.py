"""This module reads the settings from the environment, each with its default and meaning. Nothing else reads
os.environ."""

import os
from dataclasses import dataclass
from pathlib import Path

PREFIX = "STILLALOFT_"
KNOWN_SETTINGS = {
    "DATABASE_URL": "where the orders are saved; default: the file stillaloft.sqlite in the folder you start from",
    "STILLALOFT_HOSTS": "further names, separated by commas, under which browsers may reach the shop's server",
    "STILLALOFT_BACKUPS": "the folder for backups of the SQLite file; default: the folder backups beside that file",
}
OWN_HOSTS = ("127.0.0.1", "localhost")


class UnknownSetting(ValueError):
    """Raised when the environment sets a STILLALOFT_ name that the program does not know, most likely because it
    is misspelt."""


@dataclass(frozen=True, slots=True)
class Config:
    """The settings of a start. trusted_hosts: the names under which browsers may reach the server. backups: the
    folder for backups; if empty, the default one. is_demo: whether the shop is the invented one."""

    database_url: str
    trusted_hosts: tuple[str, ...]
    backups: str = ""
    is_demo: bool = False


def read_config(database_url: str | None = None) -> Config:
    """Returns the settings from the environment; database_url replaces the one given there.

    Raises UnknownSetting for a STILLALOFT_ name that is not in KNOWN_SETTINGS.
    """
    for name in os.environ:
        if name.startswith(PREFIX) and name not in KNOWN_SETTINGS:
            raise UnknownSetting(f"{name} is not a setting. Known are: {', '.join(KNOWN_SETTINGS)}.")
    hosts = os.environ.get("STILLALOFT_HOSTS", "")
    more = tuple(host.strip() for host in hosts.split(",") if host.strip())
    backups = os.environ.get("STILLALOFT_BACKUPS", "").strip()
    return Config(database_url or _database_url("stillaloft.sqlite"), OWN_HOSTS + more, backups)


def database_url() -> str:
    """Returns the address of the shop's database. Raises UnknownSetting as `read_config` does."""
    return read_config().database_url


def demo_database_url() -> str:
    """Returns the address of the invented shop's database, which has a file of its own so that it never mixes
    with a real one."""
    return _database_url("demo.sqlite")


def demo_backups() -> str:
    """Returns the folder for backups of the invented shop, which never mix with those of a real one."""
    return str(Path.cwd() / "demo-backups")


def _database_url(file_name: str) -> str:
    return os.environ.get("DATABASE_URL") or f"sqlite:///{Path.cwd() / file_name}"
