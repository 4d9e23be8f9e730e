"""Clips of the report set are only ever scored, and those of the calibration set only ever fitted to:
nothing but the two commands names a closed set, opens it, or writes one of its seeds down.

``tests.studio.guard`` refuses at run time; this finds the attempt in the text.
"""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.studio.guard import OPENERS, SEEDS, Set

ROOT = Path(__file__).resolve().parents[2]
SEARCHED = ("api", "worker", "web", "tests", "migrations")
NOT_OURS = {"node_modules", "dist", "weights", "__pycache__"}

DOORS = {"scoring", "calibrating", "open_as_parent", "_Door", "_opened"}
NAMES = {name.name: name for name in OPENERS}
CLOSED_SEEDS = [SEEDS[name] for name in OPENERS]
MEASURED = {
    f"tests.accuracy.{name}" for name in ("standard_set", "outline", "results", "running", "truths")
}
OUTCOMES = "var/accuracy", "standard.json"
KEPT_IN = "studio/report", "studio/calibration", ".cache/studio"

MAY = {
    # The doors themselves, and the way in to the sets.
    "tests/studio/guard.py": DOORS | set(NAMES) | {"seed"},
    "tests/studio/sets.py": {"scoring", "calibrating"},
    # Says where the clips are kept.
    "tests/studio/cache.py": {"place"},
    # Hands on to helper processes what is open in their parent.
    "tests/studio/making.py": {"open_as_parent"},
    # Shows that the doors are shut.
    "tests/studio/test_sets.py": {"scoring", "calibrating", "REPORT", "CALIBRATION", "measured"},
}
MAY_IN_FOLDER = {
    OPENERS[Set.REPORT]: {"scoring", "REPORT", "measured", "outcome"},
    "tests/studio/": {"cache_folder"},
    OPENERS[Set.CALIBRATION]: {"calibrating", "CALIBRATION"},
}


def breaches(source: str) -> set[str]:
    """What a Python text says that only a set's own command may: doors, names of closed sets,
    ``seed`` for one of their seeds, ``place`` for where the cache keeps them.
    """
    return {word for node in ast.walk(ast.parse(source)) for word in _said(node)}


def _said(node: ast.AST) -> Iterator[str]:
    yield from _outcomes_said(node)
    match node:
        case ast.ImportFrom(module=str(module), names=names) if module.startswith("tests.studio"):
            yield from (alias.name for alias in names if alias.name in DOORS)
        case ast.Attribute(attr=word) if word in DOORS or word in NAMES:
            yield word
        case ast.Call(func=ast.Name(id="Set"), args=[ast.Constant(value=str(value))]):
            yield value.upper()
        case ast.Subscript(value=ast.Name(id="Set"), slice=ast.Constant(value=str(name))):
            yield name
        case ast.Constant(value=int(number)) if any(number in seeds for seeds in CLOSED_SEEDS):
            yield "seed"
        case ast.Constant(value=str(text)) if any(place in text for place in KEPT_IN):
            yield "place"
        case ast.Constant(value=str(text)) if text in MEASURED:
            yield "measured"
        case ast.Call(args=args) if {"studio", "report"} <= _words(args):
            yield "place"
        case _:
            pass


def _words(args: list[ast.expr]) -> set[str]:
    return {
        arg.value for arg in args if isinstance(arg, ast.Constant) and isinstance(arg.value, str)
    }


def _outcomes_said(node: ast.AST) -> Iterator[str]:
    """``measured``, ``cache_folder`` and ``outcome``: the report's parts, its clips, its figures."""
    match node:
        case ast.Import(names=names) if any(alias.name in MEASURED for alias in names):
            yield "measured"
        case ast.ImportFrom(module=str(module), names=names):
            if MEASURED & {module, *(f"{module}.{alias.name}" for alias in names)}:
                yield "measured"
            yield from (alias.name for alias in names if alias.name == "cache_folder")
        case ast.Attribute(attr="cache_folder") | ast.Name(id="cache_folder"):
            yield "cache_folder"
        case ast.Constant(value=str(text)) if any(place in text for place in OUTCOMES):
            yield "outcome"
        case _:
            pass


def allowed(name: str) -> set[str]:
    """What the file of this name in the tree may say."""
    if name == Path(__file__).relative_to(ROOT).as_posix():
        return {"place", "REPORT", "CALIBRATION", "outcome", "cache_folder"}
    folder = next(
        (words for start, words in MAY_IN_FOLDER.items() if name.startswith(start)), set()
    )
    return MAY.get(name, set()) | folder


def ours(suffixes: set[str]) -> list[Path]:
    return [
        path
        for top in SEARCHED
        for path in sorted((ROOT / top).rglob("*"))
        if path.suffix in suffixes and not NOT_OURS & set(path.relative_to(ROOT).parts)
    ]


def test_nobody_but_its_command_names_or_opens_a_closed_set() -> None:
    files = ours({".py"})
    assert len(files) > 200
    found = {
        name: wrong
        for path in files
        for name in [path.relative_to(ROOT).as_posix()]
        if (wrong := breaches(path.read_text()) - allowed(name))
    }
    assert found == {}


def test_the_pages_know_nothing_of_the_studio() -> None:
    files = ours({".ts", ".svelte", ".js", ".html", ".json"})
    web = [path for path in files if path.is_relative_to(ROOT / "web")]
    assert len(web) > 20
    assert [path.name for path in web if "tests/studio" in path.read_text()] == []


@pytest.mark.parametrize(
    ("planted", "word"),
    [
        ("from tests.studio.sets import scoring\n", "scoring"),
        ("from tests.studio.guard import (\n    Set,\n    scoring as peek,\n)\n", "scoring"),
        ("from tests.studio import guard\nwith guard.scoring():\n    pass\n", "scoring"),
        ("from tests.studio import sets\nwith sets.calibrating():\n    pass\n", "calibrating"),
        ("from tests.studio.guard import open_as_parent\n", "open_as_parent"),
        ("guard._Door.opened = 1\n", "_Door"),
        ("dials_of(Set.REPORT, 0)\n", "REPORT"),
        ("standard(sets.Set.CALIBRATION)\n", "CALIBRATION"),
        ("standard(Set('report'))\n", "REPORT"),
        ("standard(Set['REPORT'])\n", "REPORT"),
        (f"ClipDials('x', seed={SEEDS[Set.REPORT][17]})\n", "seed"),
        (f"block({SEEDS[Set.CALIBRATION][0]:_})\n", "seed"),
        ("Path('.cache/studio/report').glob('*.mp4')\n", "place"),
        ("from tests.accuracy.standard_set import standard_clips\n", "measured"),
        ("(cache_folder() / 'report').glob('*.mp4')\n", "cache_folder"),
        ("cache_folder().rglob('*.mp4')\n", "cache_folder"),
        ("Path('.cache/studio').rglob('*.mp4')\n", "place"),
        ("Path('.cache', 'studio', 'report')\n", "place"),
        ("importlib.import_module('tests.accuracy.standard_set')\n", "measured"),
        ("open('var/accuracy/results.json')\n", "outcome"),
        ("from tests.accuracy.outline import STANDARD\nread_outline(STANDARD)\n", "measured"),
    ],
)
@pytest.mark.parametrize("name", ["worker/swing/instants.py", "tests/worker/test_up.py"])
def test_a_planted_breach_is_found(planted: str, word: str, name: str) -> None:
    assert breaches(planted) - allowed(name) == {word}


def test_the_report_s_command_may_not_fit_and_the_fitting_may_not_score() -> None:
    fits, scores = "standard(Set.CALIBRATION)\n", "standard(Set.REPORT)\n"
    assert breaches(scores) <= allowed("tests/accuracy/__main__.py")
    assert breaches(fits) - allowed("tests/accuracy/__main__.py") == {"CALIBRATION"}
    assert breaches(fits) <= allowed("tests/calibration/__main__.py")
    assert breaches(scores) - allowed("tests/calibration/__main__.py") == {"REPORT"}


def test_what_is_plain_passes() -> None:
    plain = "from tests.studio.sets import Set, dials_of\nscoring = 3\ndials_of(Set.PRACTICE, 1)\n"
    assert breaches(plain) == set()
