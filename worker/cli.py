"""The command line: ``fairlead``."""

from typing import Annotated

import typer

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
def up(host: Host = "127.0.0.1", port: Port = 8000, workers: Workers = 0) -> None:
    """Run the whole service on this machine until Ctrl-C."""
    _serve(host, port, workers, demo=False)


@app.command()
def demo(host: Host = "127.0.0.1", port: Port = 8000, workers: Workers = 0) -> None:
    """Run the service with an invented academy and print sign-in links for its people."""
    _serve(host, port, workers, demo=True)


def _serve(host: str, port: int, workers: int, *, demo: bool) -> None:
    # Late, so that `fairlead measure` does not wait for the database's libraries.
    from worker.serve import Wishes, serve  # noqa: PLC0415

    raise typer.Exit(serve(Wishes(host, port, workers, demo=demo), typer.echo))
