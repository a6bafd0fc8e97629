"""This module is the command line: python -m app, with serve, check, backup or restore."""

import argparse
import gc
import sys
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from app.config import Config


def main(words: list[str] | None = None) -> None:
    """Runs the command that the words name; None means those of the command line. A problem ends it with a
    sentence.

    Its imports stand inside the functions, so that nothing is loaded before the command is known.
    """
    args = _parser().parse_args(words)
    from app.actions.shop.restore import NotSure
    from app.config import UnknownSetting, read_config
    from app.serving import prepare_and_serve
    from app.store.sentences import StoreUnusable
    from app.web.log import start_log

    start_log()
    try:
        config = read_config()
        if args.command != "serve":
            print(_run(args, config))
            return
        prepare_and_serve(config, args.host, args.port)
    except (UnknownSetting, StoreUnusable, NotSure, ValueError) as wrong:
        sys.exit(str(wrong))


def _run(args: argparse.Namespace, config: "Config") -> str:
    """Runs a command that ends by itself, and returns what it says."""
    from app.actions.shop.backups import BackupKeeper
    from app.actions.shop.restore import restore_backup
    from app.serving import check_database
    from app.store.lock import hold_database
    from app.web.clock import now as this_moment

    if args.command == "backup":
        made = BackupKeeper(config.database_url, args.folder or config.backups).make(this_moment())
        return f"{made.file} has all that was saved up to now. The copy was checked."
    if args.command == "restore":
        with hold_database(config.database_url, ""):
            return restore_backup(config.database_url, Path(args.file), this_moment(), sure=args.yes)
    return check_database(config.database_url)


def add_server_options(parser: argparse.ArgumentParser) -> None:
    """Adds the options for the address and the port on which to listen."""
    parser.add_argument("--host", default="127.0.0.1", help="address to listen on (default: this machine only)")
    parser.add_argument("--port", type=port_number, default=8000, help="port to listen on (default: 8000)")


def port_number(text: str) -> int:
    """Returns a typed port as a number. Raises ArgumentTypeError outside 1 to 65535."""
    port = int(text) if text.isdecimal() else 0
    if not 1 <= port <= 65535:
        raise argparse.ArgumentTypeError(f"enter a port from 1 to 65535, not {text}")
    return port


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m app", description="The order board of a balloon counter.")
    commands = parser.add_subparsers(dest="command", required=True)
    add_server_options(commands.add_parser("serve", help="update the database and start the server"))
    commands.add_parser("check", help="check the database for damage")
    backup = commands.add_parser("backup", help="copy the database into a folder and check the copy")
    backup.add_argument("folder", nargs="?", default="", help="default: the folder backups beside the database")
    restore = commands.add_parser("restore", help="put a backup in the place of the database")
    restore.add_argument("file", help="the file of the backup")
    restore.add_argument("--yes", action="store_true", help="go on, although what is named would be lost")
    return parser


if __name__ == "__main__":
    gc.disable()  # what is loaded now is no garbage, and to look for some takes long; `serve` enables it
    main()
