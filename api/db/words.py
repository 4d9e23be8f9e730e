"""Lower case on both databases: SQLite's own knows ASCII alone, and "Åsa" is a name too."""

from typing import Any

from sqlalchemy import ColumnElement, Function, String
from sqlalchemy.ext.compiler import compiles
from sqlalchemy.sql.compiler import SQLCompiler

SQLITE_LOWER = "lower_case"
"""The name under which ``api.db.session`` gives Python's to every connection."""


class _Lowered(Function[str]):
    inherit_cache = True

    def __init__(self, text: ColumnElement[Any]) -> None:
        super().__init__("lower", text, type_=String())


@compiles(_Lowered, "sqlite")
def _on_sqlite(element: _Lowered, compiler: SQLCompiler, **options: Any) -> str:  # noqa: ANN401 - SQLAlchemy's signature
    return f"{SQLITE_LOWER}({compiler.process(element.clauses, **options)})"


def lowered(text: Any) -> ColumnElement[str]:  # noqa: ANN401 - a column or an expression of text
    """``text`` in lower case, as ``str.lower`` has it."""
    return _Lowered(text)
