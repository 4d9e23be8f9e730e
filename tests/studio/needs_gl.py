"""For tests that draw: skipped where no picture can be drawn, unless the machine was promised to."""

import os

import pytest

from tests.studio.render import gl_reason

REQUIRED = "FAIRLEAD_REQUIRE_STUDIO"
"""Set, as in CI: what needs OpenGL then fails where there is none, instead of being skipped."""

_REASON = gl_reason()
needs_gl = pytest.mark.skipif(
    _REASON is not None and not os.environ.get(REQUIRED), reason=str(_REASON)
)
