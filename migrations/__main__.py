"""``python -m migrations upgrade|downgrade|current [revision]`` on the database of the settings."""

import argparse
import sys

from api.db import migrate
from api.settings import Settings


def main(arguments: list[str] | None = None) -> int:
    """Run one command; 0 when it worked."""
    parser = argparse.ArgumentParser(prog="python -m migrations", description=__doc__)
    parser.add_argument("command", choices=("upgrade", "downgrade", "current"))
    parser.add_argument("revision", nargs="?", help="head for upgrade, -1 for downgrade")
    chosen = parser.parse_args(arguments)
    url = Settings().effective_database_url
    if chosen.command == "upgrade":
        migrate.upgrade(url, chosen.revision or "head")
    elif chosen.command == "downgrade":
        migrate.downgrade(url, chosen.revision or "-1")
    sys.stdout.write(f"{migrate.current(url) or 'empty'}\n")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
