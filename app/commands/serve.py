"""``channelday serve``: the clinic's database, served to browsers."""

import ipaddress
import signal
import sys
from pathlib import Path
from typing import Annotated

import typer

from app.commands.data_option import DEFAULT, Data
from app.commands.lines import say
from solver.errors import Fault, InputError


def serve(
    data: Data = DEFAULT,
    host: Annotated[
        str, typer.Option(metavar="ADDRESS", help="Address to listen at; this machine only if not said.")
    ] = "127.0.0.1",
    port: Annotated[int, typer.Option(min=1, max=65535, help="Port to listen at.")] = 8030,
    name: Annotated[
        list[str] | None,
        typer.Option(metavar="NAME", help="A host name that people reach it by; may be given more than once."),
    ] = None,
    tls_cert: Annotated[Path | None, typer.Option(metavar="FILE", help="The certificate, for TLS.")] = None,
    tls_key: Annotated[Path | None, typer.Option(metavar="FILE", help="The certificate's key.")] = None,
    behind_proxy: Annotated[
        bool, typer.Option("--behind-proxy", help="A proxy in front of it does TLS, and is the only way to it.")
    ] = False,
    backup_to: Annotated[
        Path | None, typer.Option(metavar="FOLDER", help="Make a backup in this folder once each day.")
    ] = None,
    keep: Annotated[int, typer.Option(min=1, metavar="COUNT", help="How many backups are kept.")] = 14,
) -> None:
    """Serve the clinic's pages until Ctrl-C.

    Without TLS it listens to this machine only, unless --behind-proxy says that a proxy sees to it. Where nobody can
    sign in as an administrator yet, an address is printed that makes the first one.

    Example: channelday serve --data clinic.db

    Exit codes: 0 it was ended; 2 it cannot be served.
    """
    names = frozenset(name or ())
    secure = tls_cert is not None or behind_proxy
    faults = _faults(host, names, tls_cert, tls_key, behind_proxy=behind_proxy)
    if backup_to is not None and not backup_to.is_dir():
        faults.append(Fault("--backup-to", f"there is no folder {backup_to}", "make it, or name another"))
    if faults:
        raise InputError(faults)

    # Here, because every command loads this file and the others do without a web server.
    from app.listening import listen
    from app.main import close_app, create_app
    from app.services.daily_backup import DailyBackup
    from app.services.databases import open_database
    from app.services.first_account import first_address
    from app.serving import Server, Tls
    from app.settings import LOOPBACK, Settings

    signal.signal(signal.SIGTERM, signal.default_int_handler)
    store = open_database(data)
    try:
        try:
            listener = listen(host, port, tries=1)
        except OSError as error:
            raise InputError([Fault("--host", f"cannot listen at {host} ({error.strerror})", _RIGHT_HOST)]) from None
        if listener is None:
            raise InputError([Fault("--port", f"{port} cannot be used", "give one that is free and allowed")])
        hosts = LOOPBACK | names | ({host} if names or not _is_any(host) else frozenset())
        app = create_app(Settings.found(hosts=hosts, secure=secure), store)
        shown = sorted(names)[0] if names else host
        scheme = "https" if secure else "http"
        base = f"{scheme}://{shown}" if behind_proxy else f"{scheme}://{shown}:{listener.getsockname()[1]}"
        say(f"Open {base}/ and press Ctrl-C here to end.")
        token = first_address(store)
        if token is not None:
            say("Nobody can sign in as an administrator yet. Whoever opens this address first will be one:")
            say(f"{base}/once/{token}")
        backups = None if backup_to is None else DailyBackup(data, backup_to, keep, say)
        sys.stdout.flush()  # whoever keeps what it says in a file has the address at once
        tls = Tls(str(tls_cert), str(tls_key)) if tls_cert is not None else None
        try:
            Server(app, lambda: close_app(app), tls, behind_proxy).run(sockets=[listener])
        except KeyboardInterrupt:
            pass
        finally:
            listener.close()
            if backups is not None:
                backups.close()
    finally:
        store.close()


_RIGHT_HOST = "give an address of this machine"


def _faults(
    host: str, names: frozenset[str], cert: Path | None, key: Path | None, *, behind_proxy: bool
) -> list[Fault]:
    faults = []
    if (cert is None) != (key is None):
        faults.append(Fault("--tls-cert", "certificate and key go together", "give both options, or neither"))
    for option, path in (("--tls-cert", cert), ("--tls-key", key)):
        if path is not None and not path.is_file():
            faults.append(Fault(option, f"{path} is no file that can be read", "name the file in PEM form"))
    if not _is_loopback(host) and cert is None and not behind_proxy:
        what = f"{host} can be reached from other machines, and there is no TLS"
        right = "give --tls-cert and --tls-key, or --behind-proxy where a proxy does TLS"
        faults.append(Fault("--host", what, right))
    if (behind_proxy or _is_any(host)) and not names:
        faults.append(Fault("--name", "the name that people reach it by is missing", "give --name clinic.example"))
    return faults


def _is_loopback(host: str) -> bool:
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"


def _is_any(host: str) -> bool:
    try:
        return ipaddress.ip_address(host).is_unspecified
    except ValueError:
        return False
