"""Take the addresses of sponsors out of the pages' lock file: ``python -m tests.checks.plain_lock``.

npm copies them from each package; nothing reads them, and a lock file names no address.
"""

import json
from pathlib import Path

LOCK = Path(__file__).resolve().parents[2] / "web" / "package-lock.json"


def main() -> None:
    """Rewrite the lock file without them, otherwise as npm writes it."""
    lock = json.loads(LOCK.read_text())
    for package in lock["packages"].values():
        package.pop("funding", None)
    LOCK.write_text(json.dumps(lock, indent=2, ensure_ascii=False) + "\n")


if __name__ == "__main__":
    main()
