"""``channelday demo``: the invented clinic's day, solved on this machine and shown on a page."""

import shutil
import signal
import socket
import tempfile
import time
from pathlib import Path
from typing import Annotated

import typer

from app.services.day_files import DayFiles
from app.services.planning import Planning, Search
from app.settings import Settings, bundled
from app.views.summary import aiming_words
from app.views.words import AIM_WORDS
from solver.errors import InputError

HOST = "127.0.0.1"
TRIES = 20
BETWEEN_NEWS_S, BETWEEN_LINES_S = 1, 3


def demo(
    port: Annotated[
        int, typer.Option(min=1, max=65535, help="Port to serve on; the next free one is taken where it is in use.")
    ] = 8031,
    seconds: Annotated[
        int, typer.Option(min=1, max=120, help="How long to look for a good plan before the page is served.")
    ] = 10,
) -> None:
    """Plan an invented clinic's day and show it in the browser, until Ctrl-C.

    The day's files lie in a folder of their own that is removed at the end. Only this machine can open the page.
    """
    # Ended from outside, it leaves as little behind as after Ctrl-C.
    signal.signal(signal.SIGTERM, signal.default_int_handler)
    listener = _listen(port)
    with tempfile.TemporaryDirectory(prefix="channelday-demo-") as folder:
        files = DayFiles(Path(folder))
        shutil.copyfile(bundled("demo_data") / "day.json", files.day_path)
        planning = Planning(files)
        try:
            _first_plan(planning, seconds)
            _serve(listener, files, planning)
        except KeyboardInterrupt:
            pass
        finally:
            planning.close()
            listener.close()
    typer.echo("The demo has ended; its folder is removed.")


def _listen(port: int) -> socket.socket:
    """A socket on loopback at the port, or at the next that is free."""
    for candidate in range(port, min(port + TRIES, 65536)):
        listener = socket.socket()
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listener.bind((HOST, candidate))
            listener.listen()
        except OSError:
            listener.close()
            continue
        if candidate != port:
            typer.echo(f"Port {port} is taken; using {candidate}.")
        return listener
    typer.echo(f"No port from {port} to {port + TRIES - 1} is free: give another with --port.", err=True)
    raise typer.Exit(2)


def _first_plan(planning: Planning, seconds: int) -> None:
    """Solve the day and say how it goes. Exits where there is no plan to show."""
    try:
        search = planning.start(seconds)
    except InputError as error:
        for fault in error.faults:
            typer.echo(f"day.json: {fault}", err=True)
        raise typer.Exit(2) from None
    typer.echo(
        f"Planning the day of an invented clinic, at most {seconds} s. Smaller is better, the first figure first:"
    )
    typer.echo(f"  {'; '.join(f'{aim} = {AIM_WORDS[aim]}' for aim in search.aims)}")
    told, told_at = "", 0.0
    while not search.ended:
        time.sleep(0.1)
        search = planning.current or search
        elapsed = search.elapsed(planning.time_now())
        line = _standing(search)
        quiet = elapsed - told_at
        if not search.ended and (not told or quiet >= (BETWEEN_NEWS_S if line != told else BETWEEN_LINES_S)):
            typer.echo(f"  {elapsed:4.1f} s  {line}")
            told, told_at = line, elapsed
    typer.echo(f"  {search.seconds:4.1f} s  {search.message}")
    for line in search.lines:
        typer.echo(f"  {line}", err=True)
    if planning.files.date is None:
        raise typer.Exit(1)


def _standing(search: Search) -> str:
    """How far the search is, in one line."""
    scores = ", ".join(f"{aim} {search.scores[aim]}" for aim in search.aims if aim in search.scores)
    return f"{scores}, {aiming_words(search.aim)}" if scores else aiming_words(search.aim)


def _serve(listener: socket.socket, files: DayFiles, planning: Planning) -> None:
    # Here, because every command loads this file and the others do without a web server.
    from app.main import create_app
    from app.serving import Server

    app = create_app(Settings.found(), files, planning)
    typer.echo(f"\nOpen http://{HOST}:{listener.getsockname()[1]}/ and press Ctrl-C here to end.")
    typer.echo(f"The day is {files.day_path}: change a figure in it, then press “Plan again” on the page.")
    Server(app, planning.close).run(sockets=[listener])
