"""The command line: python -m app serve, check."""

import argparse
import sys
from dataclasses import replace

from app.config import UnknownSetting, read_config
from app.serving import look_over, prepare, serve
from app.store.sentences import StoreUnusable


def main(words: list[str] | None = None) -> None:
    args = _parser().parse_args(words)
    try:
        config = read_config()
        if args.command == "check":
            print(look_over(config.database_url))
            return
        prepare(config.database_url).engine.dispose()
    except (UnknownSetting, StoreUnusable) as wrong:
        sys.exit(str(wrong))
    serve(replace(config, trusted_hosts=(*config.trusted_hosts, args.host)), args.host, args.port)


def add_door(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--host", default="127.0.0.1", help="address to listen on (default: this machine only)")
    parser.add_argument("--port", type=port_number, default=8000, help="port to listen on (default: 8000)")


def port_number(text: str) -> int:
    port = int(text) if text.isdecimal() else 0
    if not 1 <= port <= 65535:
        raise argparse.ArgumentTypeError(f"{text} is not a port: 1 to 65535, please")
    return port


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m app", description="The order board of a balloon counter.")
    commands = parser.add_subparsers(dest="command", required=True)
    add_door(commands.add_parser("serve", help="migrate the database and serve the shop"))
    commands.add_parser("check", help="look the database over and say whether it is sound")
    return parser


if __name__ == "__main__":
    main()
