"""This module has one plain sentence for a person for each error by which a database refuses to work."""

from sqlalchemy.exc import DatabaseError

SQLITE_SENTENCES = {
    "SQLITE_FULL": "The disk is full, so nothing was saved; free some space and save again.",
    "SQLITE_BUSY": "Another save is still going on, so nothing was saved; wait a moment and save again.",
    "SQLITE_LOCKED": "Another save is still going on, so nothing was saved; wait a moment and save again.",
    "SQLITE_READONLY_DBMOVED": "The database file was moved while in use, so nothing was saved; "
    "put it back and start the program again.",
    "SQLITE_READONLY": "The database can be read but not written, so nothing was saved; "
    "allow the program to write its file and the folder around it.",
    "SQLITE_CORRUPT": "The database file is damaged; stop the program and restore the newest backup.",
    "SQLITE_NOTADB": "The file named as the database is not a database; "
    "name the right file or restore the newest backup.",
    "SQLITE_CANTOPEN": "The database file cannot be opened; see that its folder exists and can be written.",
    "SQLITE_IOERR": "The disk failed while the database was in use, so nothing was saved; "
    "check the disk and keep the newest backup safe.",
}
POSTGRES_SENTENCES = {
    "25006": "The database server takes no changes at the moment, so nothing was saved.",
    "40": "Another save came first, so nothing was saved; save again.",
    "53100": "The disk of the database server is full, so nothing was saved; free some space and save again.",
    "53300": "The database server is too busy, so nothing was saved; wait a moment and save again.",
    "55P03": "Another save is still going on, so nothing was saved; wait a moment and save again.",
    "57P": "The database server is stopping or starting, so nothing was saved; wait a moment and save again.",
}
SERVER_UNREACHABLE = (
    "The database server cannot be reached as DATABASE_URL says, so nothing was saved; "
    "see that it runs and knows the name and password given there."
)
UNKNOWN_DATABASE_ERROR = "The database refused, so nothing was saved; the program's log says why."


class StoreUnusable(Exception):
    """Raised when the database cannot be used; `sentence` is for a person, `code` is the database's own name of the
    error."""

    def __init__(self, sentence: str, code: str = "") -> None:
        super().__init__(f"{sentence} ({code})" if code else sentence)
        self.sentence = sentence
        self.code = code


def error_code(exc: DatabaseError) -> str:
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
