"""An OpenGL context without a screen, and the shaders beside this file."""

import re
from functools import lru_cache
from pathlib import Path

import moderngl

FOLDER = Path(__file__).resolve().parent.parent
_INCLUDE = re.compile(r'^#include "([a-z_/]+\.glsl)"$', re.MULTILINE)


def make_context() -> moderngl.Context:
    """A new context on EGL; whoever asks for it releases it. Software Mesa will do.

    Raises whatever moderngl raises where the machine can make none: ask ``gl_reason`` first.
    """
    return moderngl.create_context(standalone=True, require=430, backend="egl")


@lru_cache(maxsize=1)
def gl_reason() -> str | None:
    """Why pictures cannot be rendered here, or ``None`` when they can."""
    try:
        context = make_context()
    except Exception as problem:  # noqa: BLE001 - moderngl, glcontext and ctypes each raise their own
        return f"no OpenGL 4.3 through EGL here: {problem}"
    context.release()
    return None


def source(name: str) -> str:
    """Text of a shader under ``tests/studio``, with its ``#include "folder/name.glsl"`` lines
    replaced by those files.
    """
    text = (FOLDER / name).read_text(encoding="utf-8")
    return _INCLUDE.sub(lambda found: source(found.group(1)), text)


def program(context: moderngl.Context, vertex: str, fragment: str) -> moderngl.Program:
    """The program of two shaders under ``tests/studio``."""
    return context.program(vertex_shader=source(vertex), fragment_shader=source(fragment))
