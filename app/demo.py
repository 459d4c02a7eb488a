"""``channelday demo``: the invented clinic, its day solved on this machine and shown on a page."""

import datetime
import signal
import socket
import tempfile
import time
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from app.listening import LOOPBACK_HOST, TRIES, listen
from app.settings import Settings, bundled
from app.views.summary import aiming_words
from app.views.words import AIM_WORDS

if TYPE_CHECKING:
    from app.db.store import Store
    from app.services.planning import Planning, Search

BETWEEN_NEWS_S, BETWEEN_LINES_S = 1, 3


def demo(
    port: Annotated[
        int, typer.Option(min=1, max=65535, help="Port to serve on; the next free one is taken where it is in use.")
    ] = 8031,
    seconds: Annotated[
        int, typer.Option(min=1, max=120, help="How long to look for a good plan before the page is served.")
    ] = 10,
) -> None:
    """Plan today at an invented clinic and show it in the browser, until Ctrl-C.

    The clinic's database lies in a folder of its own that is removed at the end. Only this machine can open the page.
    """
    # Here, because every command loads this file and the others do without a database.
    from app.services.demo_clinic import ACTOR, make_demo_clinic
    from app.services.demo_floor import run_until
    from app.services.demo_past import make_past
    from app.services.planning import Planning

    # Ended from outside, it leaves as little behind as after Ctrl-C.
    signal.signal(signal.SIGTERM, signal.default_int_handler)
    listener = _listen(port)
    today = datetime.date.today()
    with tempfile.TemporaryDirectory(prefix="channelday-demo-") as folder:
        store = make_demo_clinic(Path(folder), bundled("demo_data") / "day.json", today)
        planning = Planning(store)
        try:
            _first_plan(planning, today, seconds)
            typer.echo("Making up the two weeks before today.")
            make_past(store, today, actor=ACTOR)
            run_until(store, today, datetime.datetime.now(datetime.UTC), actor=ACTOR)
            _serve(listener, store, planning)
        except KeyboardInterrupt:
            pass
        finally:
            planning.close()
            listener.close()
            store.close()
    typer.echo("The demo has ended; its folder is removed.")


def _listen(port: int) -> socket.socket:
    """A socket on loopback at the port, or at the next that is free."""
    listener = listen(LOOPBACK_HOST, port, TRIES)
    if listener is None:
        typer.echo(f"No port from {port} to {port + TRIES - 1} is free: give another with --port.", err=True)
        raise typer.Exit(2)
    used = listener.getsockname()[1]
    if used != port:
        typer.echo(f"Port {port} is taken; using {used}.")
    return listener


def _first_plan(planning: "Planning", today: datetime.date, seconds: int) -> None:
    """Solve the day and say how it goes. Exits where there is no plan to show."""
    search = planning.start(today, seconds, actor="channelday demo")
    typer.echo(f"Planning today at an invented clinic, at most {seconds} s. Smaller is better, the first figure first:")
    typer.echo(f"  {'; '.join(f'{aim} = {AIM_WORDS[aim]}' for aim in search.aims)}")
    told, told_at = "", 0.0
    while not search.ended:
        time.sleep(0.1)
        search = planning.current(today) or search
        elapsed = search.elapsed(planning.time_now())
        line = _standing(search)
        quiet = elapsed - told_at
        if not search.ended and (not told or quiet >= (BETWEEN_NEWS_S if line != told else BETWEEN_LINES_S)):
            typer.echo(f"  {elapsed:4.1f} s  {line}")
            told, told_at = line, elapsed
    typer.echo(f"  {search.seconds:4.1f} s  {search.message}")
    for line in search.lines:
        typer.echo(f"  {line}", err=True)
    if not search.scores:
        raise typer.Exit(1)


def _standing(search: "Search") -> str:
    """How far the search is, in one line."""
    scores = ", ".join(f"{aim} {search.scores[aim]}" for aim in search.aims if aim in search.scores)
    return f"{scores}, {aiming_words(search.aim)}" if scores else aiming_words(search.aim)


def _serve(listener: socket.socket, store: "Store", planning: "Planning") -> None:
    from app.main import close_app, create_app
    from app.roles import ROLE_WORDS
    from app.services.demo_clinic import PEOPLE, sign_in_address
    from app.serving import Server

    app = create_app(Settings.found(invented=True), store, planning=planning)
    base = f"http://{LOOPBACK_HOST}:{listener.getsockname()[1]}"
    typer.echo("\nOpen one of these addresses; each signs somebody of the clinic in, once:")
    for person in PEOPLE:
        typer.echo(f"  {ROLE_WORDS[person.role]:13}  {base}/once/{sign_in_address(store, person)}")
    typer.echo("Press Ctrl-C here to end.")
    Server(app, lambda: close_app(app)).run(sockets=[listener])
