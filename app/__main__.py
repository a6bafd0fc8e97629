"""This module is the command line: python -m app serve, and python -m app check."""

import argparse
import sys

from app.config import UnknownSetting, read_config
from app.serving import check_database, prepare_and_serve
from app.store.sentences import StoreUnusable
from app.web.log import start_log


def main(words: list[str] | None = None) -> None:
    """Runs the command that the words name; None means those of the command line. A problem ends it with a
    sentence."""
    args = _parser().parse_args(words)
    start_log()
    try:
        config = read_config()
        if args.command == "check":
            print(check_database(config.database_url))
            return
        prepare_and_serve(config, args.host, args.port)
    except (UnknownSetting, StoreUnusable) as wrong:
        sys.exit(str(wrong))


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
    return parser


if __name__ == "__main__":
    main()
