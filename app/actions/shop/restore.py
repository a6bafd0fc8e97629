"""Restoring a backup: what it would lose is named first, and done only by somebody who is sure."""

from datetime import datetime
from pathlib import Path

from app.actions.shop.backups import database_file
from app.store.restore import Losses, find_losses, put_in_place, refuse_open_database, tried_copy

MOST_NAMED = 20
"""So many numbers of orders are named; of more, only how many they are."""
RESTORED = "Restored from {file}."
OLD_FILE = "The old file is now {kept}. Delete it once you are sure that you do not need it."
UNKNOWN_LOSS = "The present database cannot be read, so what would be lost is not known."
NO_LOSS = "No order and no tap would be lost. Settings, stock and payments would be as they were in the backup."
LOST = "These would be lost: {losses}. Whatever else was saved since the backup would be lost too."
SAY_YES = "Nothing was changed yet. To go on, add --yes. The present file will get another name; it is not deleted."


class NotSure(Exception):
    """Raised when a restore would replace a database and nobody said that they are sure. The message says what
    would be lost; nothing was changed."""


def restore_backup(database_url: str, source: Path, now: datetime, *, sure: bool) -> str:
    """Puts a backup in the place of the database, and returns a sentence about it.

    Raises NotSure when there is a database already and `sure` is False. Raises StoreUnusable when the backup is
    refused, and while a program has the database open; then nothing was changed.
    """
    target = database_file(database_url).resolve()  # a link to it stays a link
    exists = target.exists()
    if exists:
        refuse_open_database(target)
    with tried_copy(source, target, now) as trial:
        losses = find_losses(trial, target) if exists else None
        if exists and not sure:
            raise NotSure(f"{describe_losses(losses)} {SAY_YES}")
        if exists:
            refuse_open_database(target)
        kept = put_in_place(trial, target, losses, now)
    done = RESTORED.format(file=source)
    return f"{done} {OLD_FILE.format(kept=kept)}" if kept else done


def describe_losses(losses: Losses | None) -> str:
    """Returns what would be lost, in words. None: it is not known."""
    if losses is None:
        return UNKNOWN_LOSS
    named = [
        _count(losses.new, "{} order that the backup does not have", "{} orders that the backup does not have"),
        _count(losses.changed, "the later changes of {} order", "the later changes of {} orders"),
        f"{losses.taps} {'tap' if losses.taps == 1 else 'taps'}" if losses.taps else "",
    ]
    found = "; ".join(part for part in named if part)
    return LOST.format(losses=found) if found else NO_LOSS


def _count(numbers: tuple[int, ...], one: str, several: str) -> str:
    """Returns how many orders these are, with their numbers; empty if there are none."""
    if not numbers:
        return ""
    words = (one if len(numbers) == 1 else several).format(len(numbers))
    more = ", …" if len(numbers) > MOST_NAMED else ""
    return f"{words} ({', '.join(map(str, numbers[:MOST_NAMED]))}{more})"
