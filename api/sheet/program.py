"""The process that sets a sheet: ``python -m api.sheet.program FOLDER``, started by ``api.sheet.render``.

``FOLDER`` holds the sheet's data and pictures; nothing outside it is read but fonts, and the document is written to
``sheet.pdf`` in it. A process of its own, so that a document that is too hard costs no more than its limits.
"""

import resource
import sys
from pathlib import Path

MEMORY_BYTES = 2 * 1024**3
CPU_S = 20
FILE_BYTES = 64 * 1024**2
DOCUMENT, TEMPLATE, FONTS = "sheet.pdf", "sheet.typ", "fonts"


def main() -> int:
    """Set one sheet. The exit status is 0 when it is written."""
    _confine()
    import typst  # noqa: PLC0415 - the limits hold first

    folder = Path(sys.argv[1])
    fonts = typst.Fonts(
        include_system_fonts=False, include_embedded_fonts=True, font_paths=[folder / FONTS]
    )
    document = typst.compile(
        folder / TEMPLATE,
        root=folder,
        font_paths=fonts,
        format="pdf",
        timestamp=0,
        package_path=folder,
        package_cache_path=folder,
    )
    (folder / DOCUMENT).write_bytes(document)
    return 0


def _confine() -> None:
    for what, most in (
        (resource.RLIMIT_AS, MEMORY_BYTES),
        (resource.RLIMIT_CPU, CPU_S),
        (resource.RLIMIT_FSIZE, FILE_BYTES),
        (resource.RLIMIT_CORE, 0),
    ):
        resource.setrlimit(what, (most, most))


if __name__ == "__main__":
    sys.exit(main())
