"""The faces that sheets are set in, always tried in one order: the same answer gives the same bytes.

Debian's ``fonts-noto-core`` has Latin, Greek, Cyrillic, Arabic, Hebrew, Armenian, Georgian, Ethiopic, Thai and the scripts of
India among others, ``fonts-noto-cjk`` Chinese, Japanese and Korean, ``fonts-noto-color-emoji`` the little pictures. On a machine
without them DejaVu Sans stands in (no Chinese, Japanese or Korean, Hebrew and Arabic plainly), and without that what the
typesetter brings (Latin, Greek and Cyrillic). A letter that no face has is an empty box.
"""

import hashlib
from functools import cache
from pathlib import Path

FAMILIES = (
    "Noto Sans",
    "Noto Sans Arabic",
    "Noto Sans Hebrew",
    "Noto Sans CJK JP",
    "Noto Sans Symbols",
    "Noto Sans Symbols2",
    "Noto Color Emoji",
    "DejaVu Sans",
    "Libertinus Serif",
)
"""Families, the first first. What none of them has is looked for in the others found."""

_FOLDER = Path("/usr/share/fonts")
_FILES = (
    "truetype/noto/NotoSans*-Regular.ttf",
    "truetype/noto/NotoSans*-Bold.ttf",
    "opentype/noto/NotoSansCJK-Regular.ttc",
    "opentype/noto/NotoSansCJK-Bold.ttc",
    "truetype/noto/NotoColorEmoji.ttf",
    "truetype/dejavu/DejaVuSans.ttf",
    "truetype/dejavu/DejaVuSans-Bold.ttf",
)


@cache
def font_files() -> tuple[Path, ...]:
    """Every file that a face may come from, in a fixed order."""
    return tuple(path for pattern in _FILES for path in sorted(_FOLDER.glob(pattern)))


@cache
def fonts_digest() -> str:
    """Tells sets of fonts apart, by name and size: another set gives other bytes."""
    told = [f"{path.name} {path.stat().st_size}" for path in font_files()]
    return hashlib.sha256("\n".join(told).encode()).hexdigest()
