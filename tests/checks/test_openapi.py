"""The committed description of the API is the one that the code gives."""

import json
from pathlib import Path

import pytest

from api.http.app import create_app
from api.settings import Settings

ROOT = Path(__file__).resolve().parents[2]
COMMITTED = ROOT / "web" / "openapi.json"


def test_the_committed_description_is_up_to_date(tmp_path: Path) -> None:
    now = create_app(Settings(data_dir=tmp_path)).openapi()
    committed = json.loads(COMMITTED.read_text())
    if committed != json.loads(json.dumps(now)):
        changed = sorted(
            path
            for path in committed["paths"].keys() | now["paths"].keys()
            if committed["paths"].get(path) != now["paths"].get(path)
        )
        pytest.fail(f"Run `make openapi` and commit web/openapi.json. Changed: {changed}")
