"""The command line: ``fairlead``."""

from pathlib import Path
from typing import Annotated

import typer

from api.domain.names import Hand, View

app = typer.Typer(
    no_args_is_help=True,
    add_completion=False,
    help="Coaching by phone clip for golf: measures a swing and says how sure it is.",
)

Host = Annotated[str, typer.Option(help="Address to listen on; 0.0.0.0 lets phones in.")]
Port = Annotated[int, typer.Option(help="Port to listen on; a free one is used when it is taken.")]
Workers = Annotated[
    int, typer.Option(min=0, help="Clips measured at the same time; 0 is half the processors.")
]


@app.command()
def measure(
    file: Annotated[Path, typer.Argument(help="The clip, as the phone saved it.")],
    view: Annotated[View, typer.Option(help="Where the camera stood.")],
    handed: Annotated[Hand, typer.Option(help="The side the golfer plays from.")],
    club_length: Annotated[
        float | None, typer.Option(min=0.457, max=1.3, help="Length of the club, metres.")
    ] = None,
    json_out: Annotated[
        str | None, typer.Option("--json", help="Write JSON to this file; - prints it.")
    ] = None,
    pictures: Annotated[
        Path | None, typer.Option(help="Write stills and annotated stills into this folder.")
    ] = None,
) -> None:
    """Measure one clip: exit 0, or 2 when the clip is refused and must be filmed again."""
    # Late, so that the other commands do not wait for the vision libraries.
    from worker.measure_command import run  # noqa: PLC0415
    from worker.pipeline import MeasureRequest  # noqa: PLC0415

    request = MeasureRequest(view=view, handed=handed, club_length_m=club_length)
    raise typer.Exit(run(file, request, json_out=json_out, pictures=pictures))


@app.command()
def up(host: Host = "127.0.0.1", port: Port = 8000, workers: Workers = 0) -> None:
    """Run the whole service on this machine until Ctrl-C."""
    _serve(host, port, workers, demo=False)


@app.command()
def demo(host: Host = "127.0.0.1", port: Port = 8000, workers: Workers = 0) -> None:
    """Run the service with an invented academy and print sign-in links for its people."""
    _serve(host, port, workers, demo=True)


@app.command()
def found(
    name: Annotated[str, typer.Argument(help="What the academy is called.")],
    admin_name: Annotated[str, typer.Option(help="Its first admin.")],
    admin_email: Annotated[str, typer.Option(help="Where the admin reads mail.")],
    time_zone: Annotated[str, typer.Option(help="The academy's, as in Europe/Zagreb.")] = "UTC",
    language: Annotated[str, typer.Option(help="Its people's, as in de-AT.")] = "en-GB",
) -> None:
    """Found an academy and print the invitation of its first admin."""
    from worker.serve import found_academy  # noqa: PLC0415 - late, as below

    who = ["--admin-name", admin_name, "--admin-email", admin_email]
    where = ["--time-zone", time_zone, "--language", language]
    raise typer.Exit(found_academy([name, *who, *where]))


def _serve(host: str, port: int, workers: int, *, demo: bool) -> None:
    # Late, so that `fairlead measure` does not wait for the database's libraries.
    from worker.serve import Wishes, serve  # noqa: PLC0415

    raise typer.Exit(serve(Wishes(host, port, workers, demo=demo), typer.echo))
