"""This module has one plain sentence for a person for each error by which a database refuses to work."""

from sqlalchemy.exc import DatabaseError, DBAPIError

SAVE_GOING_ON = "Another save is still going on. Nothing was saved. Wait a moment, then save again."
_PUT_IT_BACK = "while in use. Nothing was saved. Put it back, then start the program again."
FILE_REMOVED = f"The database file was removed {_PUT_IT_BACK}"
FILE_REPLACED = f"The database file was replaced by another file {_PUT_IT_BACK}"
SQLITE_SENTENCES = {
    "SQLITE_FULL": "The disk is full. Nothing was saved. Free some space, then save again.",
    "SQLITE_BUSY": SAVE_GOING_ON,
    "SQLITE_LOCKED": SAVE_GOING_ON,
    "SQLITE_READONLY_DBMOVED": f"The database file was moved {_PUT_IT_BACK}",
    "SQLITE_READONLY": "The database can be read but not written. Nothing was saved. "
    "Let the program write to its file and to the folder around it.",
    "SQLITE_CORRUPT": "The database file is damaged. Stop the program and restore the newest backup.",
    "SQLITE_NOTADB": "The database file is not a database. Name the right file, or restore the newest backup.",
    "SQLITE_CANTOPEN": "The database file cannot be opened. Check that its folder exists and can be written to.",
    "SQLITE_IOERR": "The disk failed while the database was in use. Nothing was saved. "
    "Check the disk, and keep the newest backup safe.",
}
POSTGRES_SENTENCES = {
    "25006": "The database server accepts no changes at the moment. Nothing was saved.",
    "40": "Another save came first. Nothing was saved. Save again.",
    "53100": "The disk of the database server is full. Nothing was saved. Free some space, then save again.",
    "53300": "The database server is too busy. Nothing was saved. Wait a moment, then save again.",
    "55P03": SAVE_GOING_ON,
    "57P": "The database server is stopping or starting. Nothing was saved. Wait a moment, then save again.",
}
SERVER_UNREACHABLE = (
    "The database server in DATABASE_URL cannot be reached. Nothing was saved. "
    "Check that it runs, and that the name and password are right."
)
UNKNOWN_DATABASE_ERROR = "The database failed. Nothing was saved. The program's log says why."

NOT_KNOWN_IF_SAVED = "The database failed during the save. It is not known whether it was saved."
UNDONE_CODES = ("SQLITE_BUSY", "SQLITE_LOCKED", "SQLITE_CONSTRAINT", "23", "40")
"""Of commits that are undone: another program holds the SQLite file, a broken rule, another transaction first."""
COMPLETION_UNKNOWN = "40003"
OF_NEWER_VERSION = (
    "{name} was written by a newer version of Stillaloft. Install that version. Nothing in it was changed."
)
OF_OTHER_PROGRAM = (
    "{name} belongs to another program. Nothing in it was changed. "
    "Set DATABASE_URL to the shop's own database, or to a new one."
)


def not_ours(newer: bool, name: str) -> str:
    """Returns the sentence for a database of a newer version, or of another program. name: of its file, or of a
    database on a server."""
    return (OF_NEWER_VERSION if newer else OF_OTHER_PROGRAM).format(name=name)


class StoreUnusable(Exception):
    """Raised when the database cannot be used; `sentence` is for a person, `code` is the database's own name of the
    error."""

    def __init__(self, sentence: str, code: str = "") -> None:
        super().__init__(f"{sentence} ({code})" if code else sentence)
        self.sentence = sentence
        self.code = code


class CommitUnknown(StoreUnusable):
    """Raised when a commit failed in a way that leaves it open whether its changes are saved."""


def is_surely_undone(exc: DBAPIError) -> bool:
    """Returns whether the changes of a commit that failed with this error are surely not saved.

    SQLite refuses such a commit before it writes; PostgreSQL answers with the error of a transaction that it rolled
    back. After any other error, such as a failed sync or a lost connection, the changes may be saved.
    """
    code = error_code(exc)
    return code.startswith(UNDONE_CODES) and code != COMPLETION_UNKNOWN


def error_code(exc: DBAPIError) -> str:
    """Returns the database's own name of an error: SQLITE_FULL, or PostgreSQL's five-character state, or ''."""
    name = getattr(exc.orig, "sqlite_errorname", None) or getattr(exc.orig, "sqlstate", None)
    return name or ""


def sentence_for(exc: DatabaseError) -> str:
    """Returns one plain sentence for a person: what happened, that nothing was saved, and what helps."""
    code = error_code(exc)
    for beginning, sentence in (SQLITE_SENTENCES | POSTGRES_SENTENCES).items():
        if code.startswith(beginning):
            return sentence
    lost_server = hasattr(exc.orig, "sqlstate") and (exc.connection_invalidated or code[:2] in ("", "08"))
    return SERVER_UNREACHABLE if lost_server else UNKNOWN_DATABASE_ERROR
