"""Clips of the studio, from the command line: ``python -m tests.studio``."""

import json
from dataclasses import asdict
from pathlib import Path
from typing import Annotated

import cv2
import typer
from rich.console import Console
from rich.table import Table

from tests.studio.dials import ClipDials
from tests.studio.kept import FOLDER, KEPT
from tests.studio.sets import Set, SetIsClosed, dials_of, frames_of, quick, standard

app = typer.Typer(
    no_args_is_help=True,
    add_completion=False,
    help="Rendered clips with exact truth. Practice clips are free to look at; the other sets open "
    "to their own commands only.",
)
console = Console()

Which = Annotated[Set, typer.Option("--set", help="Which set.")]
Indices = Annotated[list[int] | None, typer.Argument(help="Which clips of it; none: all 64.")]
Quick = Annotated[bool, typer.Option("--quick", help="The four small ones.")]


@app.command("list")
def list_clips(which: Which = Set.PRACTICE, *, only_quick: Quick = False) -> None:
    """List clips: what is filmed, and how."""
    table = Table("Clip", "Frames", "Golfer", "Swing", "Film", "Camera", "Place")
    for dials in _chosen(which, None, only_quick=only_quick):
        table.add_row(*_described(dials))
    console.print(table)


@app.command()
def show(index: int, which: Which = Set.PRACTICE) -> None:
    """Print every dial of one clip as JSON."""
    (dials,) = _chosen(which, [index], only_quick=False)
    console.print_json(json.dumps(asdict(dials)))


@app.command()
def render(
    indices: Indices = None,
    which: Which = Set.PRACTICE,
    *,
    only_quick: Quick = False,
    processes: Annotated[int, typer.Option(min=1, help="At the same time.")] = 2,
    to: Annotated[Path | None, typer.Option(help="A folder, instead of the cache.")] = None,
) -> None:
    """Make clips and their truth, and print where they are."""
    from tests.studio.clip import make_clip  # noqa: PLC0415 - drawing is slow to load
    from tests.studio.making import make_clips  # noqa: PLC0415

    clips = _chosen(which, indices, only_quick=only_quick)
    made = make_clips(clips, processes=processes, console=console)
    if to is not None:
        made = [make_clip(dials, to) for dials in clips]
    for video, truth in made:
        console.print(f"{video}\n{truth}", soft_wrap=True)


@app.command()
def keep(
    to: Annotated[Path, typer.Option(help="The folder of the clips in the repository.")] = FOLDER,
) -> None:
    """Make the clips that the repository keeps, anew."""
    from tests.studio.clip import make_clip  # noqa: PLC0415 - drawing is slow to load

    for dials in KEPT:
        video, truth = make_clip(dials, to)
        console.print(f"{video.name}: {video.stat().st_size} and {truth.stat().st_size} bytes")


@app.command()
def stills(
    indices: Annotated[list[int], typer.Argument(help="Which clips, a row each.")],
    to: Annotated[Path, typer.Option(help="The picture to write.")],
    which: Which = Set.PRACTICE,
    *,
    close: Annotated[bool, typer.Option("--close", help="Cut out golfer and club.")] = False,
) -> None:
    """Draw address, lead arm parallel, top, impact and finish of some clips on one sheet."""
    from tests.studio.sheet import contact_sheet  # noqa: PLC0415 - drawing is slow to load

    sheet = contact_sheet(_chosen(which, indices, only_quick=False), close=close)
    if not cv2.imwrite(str(to), sheet[:, :, ::-1]):
        raise typer.BadParameter(f"cannot write {to}")
    console.print(to)


def _chosen(which: Set, indices: list[int] | None, *, only_quick: bool) -> tuple[ClipDials, ...]:
    try:
        if indices:
            return tuple(dials_of(which, index) for index in indices)
        return quick(which) if only_quick else standard(which)
    except SetIsClosed as closed:
        raise typer.BadParameter(str(closed)) from closed
    except IndexError as past:
        raise typer.BadParameter("there is no such clip") from past


def _described(dials: ClipDials) -> tuple[str, ...]:
    golfer, swing, film, camera = dials.golfer, dials.swing, dials.film, dials.camera
    rate = f"{film.fps:.0f}/s" + (f" slowed {film.slow_motion:.0f}x" * (film.slow_motion > 1))
    return (
        dials.name,
        str(frames_of(dials)),
        f"{golfer.body}, {golfer.handed}, {golfer.stature_m:.2f} m",
        f"{swing.club}, hinge {swing.hinge_deg:.0f}, butt {swing.butt_grips:+.1f}",
        f"{film.short_side} at {rate}, 1/{1 / film.exposure_s:.0f} s",
        f"{camera.azimuth_deg:+.0f} deg, {camera.distance_m:.1f} m, {camera.fov_deg:.0f} deg",
        dials.scene.background,
    )


if __name__ == "__main__":
    app()
