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
from app.services.planning import Planning
from app.settings import Settings, bundled
from app.views.summary import aim_lines, aiming_words
from solver.errors import InputError

HOST = "127.0.0.1"
TRIES = 20


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
    typer.echo(f"Planning the day of an invented clinic, at most {seconds} s …")
    told = ""
    while not search.ended:
        time.sleep(0.1)
        search = planning.current or search
        scores = ", ".join(f"{aim.name} {aim.score}" for aim in aim_lines(search.aims, search.scores, search.bounds))
        line = f"{aiming_words(search.aim)}{': ' + scores if scores else ''}"
        if line != told and not search.ended:
            typer.echo(f"  {search.elapsed(planning.time_now()):4.1f} s  {line}")
            told = line
    typer.echo(f"{search.message}")
    for line in search.lines:
        typer.echo(f"  {line}", err=True)
    if planning.files.date is None:
        raise typer.Exit(1)


def _serve(listener: socket.socket, files: DayFiles, planning: Planning) -> None:
    # Here, because every command loads this file and the others do without a web server.
    import uvicorn

    from app.main import create_app

    app = create_app(Settings.found(), files, planning)
    typer.echo(f"\nOpen http://{HOST}:{listener.getsockname()[1]}/ and press Ctrl-C here to end.")
    typer.echo(f"The day is {files.day_path}: change a figure in it, then press “Plan again” on the page.")
    config = uvicorn.Config(app, log_level="warning", access_log=False, timeout_graceful_shutdown=1)
    uvicorn.Server(config).run(sockets=[listener])
