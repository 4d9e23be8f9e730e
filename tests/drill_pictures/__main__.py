"""Draws every drill anew: ``python -m tests.drill_pictures`` writes the pictures and their words."""

import json
import sys

from tests.drill_pictures.drawn import FOLDER, WORDS, drawings, words


def main() -> None:
    FOLDER.mkdir(parents=True, exist_ok=True)
    wanted = drawings()
    for old in FOLDER.glob("*.svg"):
        if old.name not in wanted:
            old.unlink()
    for name, text in wanted.items():
        (FOLDER / name).write_text(text, encoding="utf-8")
    WORDS.write_text(json.dumps(words(), indent=2) + "\n", encoding="utf-8")
    size = sum(map(len, wanted.values())) // 1000
    sys.stdout.write(f"{len(wanted)} pictures in {FOLDER}, {size} kB\n")


if __name__ == "__main__":
    main()
