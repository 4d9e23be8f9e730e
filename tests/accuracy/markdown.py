"""The report as Markdown. Pictures are files in a folder beside it."""

from collections.abc import Sequence
from pathlib import Path

from tests.accuracy.content import Block, Bullets, Figure, Section, Table, Words

PICTURES = "pictures"


def write_markdown(title: str, facts: str, sections: Sequence[Section], folder: Path) -> Path:
    """Write ``report.md`` and its pictures into ``folder``; returns the file."""
    pictures = folder / PICTURES
    pictures.mkdir(parents=True, exist_ok=True)
    parts = [f"# {title}", facts]
    for section in sections:
        parts.append(f"## {section.title}")
        for block in section.blocks:
            if isinstance(block, Figure):
                (pictures / f"{block.name}.{block.kind}").write_bytes(block.image)
            parts.append(markdown_of(block))
    path = folder / "report.md"
    path.write_text("\n\n".join(parts) + "\n", encoding="utf-8")
    return path


def markdown_of(block: Block) -> str:
    """One block."""
    if isinstance(block, Words):
        return f"**{escaped(block.text)}**" if block.strong else escaped(block.text)
    if isinstance(block, Bullets):
        return "\n".join(f"- {escaped(item)}" for item in block.items)
    if isinstance(block, Table):
        return _table(block)
    return (
        f"![{escaped(block.alt)}]({PICTURES}/{block.name}.{block.kind})\n\n{escaped(block.caption)}"
    )


def _table(table: Table) -> str:
    lines = [f"**{escaped(table.title)}**", ""] if table.title else []
    lines.append(row_of(table.headers))
    lines.append("|" + "---|" * len(table.headers))
    lines.extend(row_of(row) for row in table.rows)
    if table.note:
        lines.extend(["", escaped(table.note)])
    return "\n".join(lines)


def row_of(cells: Sequence[str]) -> str:
    """A table's row; bars and line ends inside a cell cannot break it."""
    return "| " + " | ".join(escaped(cell).replace("|", "\\|") for cell in cells) + " |"


def escaped(text: str) -> str:
    """Text that Markdown takes literally, on one line."""
    plain = " ".join(text.split())
    for sign in "\\`*_[]<>":
        plain = plain.replace(sign, f"\\{sign}")
    return plain
