"""An OpenGL context without a screen, and the shaders beside this file."""

import re
from functools import lru_cache
from pathlib import Path

import moderngl
import numpy as np

FOLDER = Path(__file__).resolve().parent.parent
_INCLUDE = re.compile(r'^#include "([a-z_/]+\.glsl)"$', re.MULTILINE)


def make_context() -> moderngl.Context:
    """A new context on EGL; whoever asks for it releases it. Software Mesa will do.

    Raises whatever moderngl raises where the machine can make none: ask ``gl_reason`` first.
    """
    # Its annotation of `backend` is that of the settings which follow it; a name is what it takes.
    return moderngl.create_context(standalone=True, require=430, backend="egl")  # type: ignore[arg-type]  # see above


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


def program(
    context: moderngl.Context, vertex: str, fragment: str, *, kind: int = 0
) -> moderngl.Program:
    """The program of two shaders under ``tests/studio``. ``kind``: the value of ``KIND`` in the
    fragment shader: software GL computes every branch of a choice that is left open.
    """
    text = source(fragment).replace("#version 430", f"#version 430\n#define KIND {kind}", 1)
    return context.program(vertex_shader=source(vertex), fragment_shader=text)


def put(shader: moderngl.Program, name: str, value: object) -> None:
    """Set a uniform, unless the compiler found that nothing depends on it. Arrays go as bytes."""
    member = shader.get(name, None)
    if not isinstance(member, moderngl.Uniform):
        return
    if isinstance(value, np.ndarray):
        member.write(np.ascontiguousarray(value, np.float32).tobytes())
    else:
        member.value = value
