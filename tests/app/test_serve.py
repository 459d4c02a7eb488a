"""``channelday serve``: refused where it would be unsafe, and from an empty database to a signed-in administrator."""

import http.cookiejar
import re
import shutil
import ssl
import subprocess
import sys
import time
import urllib.error
import urllib.parse
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from app.cli import run
from app.commands.serve import _faults

ROOT = Path(__file__).parents[2]
PEM = Path(__file__)


@pytest.mark.parametrize(
    ("host", "names", "cert", "key", "behind_proxy", "wrong"),
    [
        ("127.0.0.1", (), None, None, False, []),
        ("::1", (), None, None, False, []),
        ("localhost", (), None, None, False, []),
        ("192.0.2.1", (), None, None, False, ["--host"]),
        ("clinic.example", (), None, None, False, ["--host"]),
        ("192.0.2.1", (), PEM, PEM, False, []),
        ("192.0.2.1", (), PEM, None, False, ["--tls-cert"]),
        ("192.0.2.1", (), None, PEM, False, ["--tls-cert", "--host"]),
        ("192.0.2.1", (), Path("nowhere.pem"), PEM, False, ["--tls-cert"]),
        ("192.0.2.1", (), None, None, True, ["--name"]),
        ("192.0.2.1", ("clinic.example",), None, None, True, []),
        ("0.0.0.0", (), PEM, PEM, False, ["--name"]),
        ("0.0.0.0", ("clinic.example",), PEM, PEM, False, []),
        ("0.0.0.0", (), None, None, False, ["--host", "--name"]),
    ],
)
def test_it_leaves_this_machine_only_with_tls_or_a_word(
    host: str, names: tuple[str, ...], cert: Path | None, key: Path | None, behind_proxy: bool, wrong: list[str]
) -> None:
    faults = _faults(host, frozenset(names), cert, key, behind_proxy=behind_proxy)
    assert [fault.where for fault in faults] == wrong


def test_a_refusal_is_a_line_and_an_exit_code(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["serve", "--data", str(tmp_path / "none.db"), "--host", "0.0.0.0"]) == 2
    said = capsys.readouterr().err
    assert "there is no TLS" in said
    assert "Traceback" not in said
    assert run(["serve", "--data", str(tmp_path / "none.db")]) == 2
    assert "make one with: channelday init" in capsys.readouterr().err


@contextmanager
def serving(folder: Path, *options: str) -> Iterator[Path]:
    """Where it writes what it says; it answers once all of that is said."""
    start = "from app.cli import main\nif __name__ == '__main__':\n    main()\n"
    (folder / "start.py").write_text(start, encoding="utf-8")
    said = folder / "said.txt"
    with said.open("w", encoding="utf-8") as out:
        server = subprocess.Popen(
            [sys.executable, str(folder / "start.py"), "serve", "--data", str(folder / "clinic.db"), *options],
            env={"PYTHONPATH": str(ROOT), "PATH": "/usr/bin:/bin"},
            cwd=folder,
            stdout=out,
            stderr=subprocess.STDOUT,
        )
    try:
        yield said
    finally:
        server.terminate()
        server.wait(20)
    assert "Traceback" not in said.read_text(encoding="utf-8")


def opened(browser: urllib.request.OpenerDirector, address: str, fields: dict[str, str] | None = None) -> str:
    """The page, tried until the server listens."""
    data = None if fields is None else urllib.parse.urlencode(fields).encode()
    request = urllib.request.Request(address, data, {"Sec-Fetch-Site": "same-origin"})
    for _ in range(400):
        try:
            with browser.open(request, timeout=20) as answer:
                return str(answer.read().decode())
        except urllib.error.HTTPError:
            raise
        except OSError:
            time.sleep(0.05)
    raise AssertionError("nobody answers")


@pytest.mark.slow
def test_an_empty_database_leads_to_an_administrator_over_tls(tmp_path: Path) -> None:
    assert (
        run(["init", "--data", str(tmp_path / "clinic.db"), "--name", "Rowan Street", "--zone", "Europe/Dublin"]) == 0
    )
    openssl = shutil.which("openssl")
    assert openssl is not None
    cert, key = tmp_path / "cert.pem", tmp_path / "key.pem"
    subject = ["-subj", "/CN=localhost", "-addext", "subjectAltName=DNS:localhost"]
    made = [
        openssl,
        "req",
        "-x509",
        "-newkey",
        "rsa:2048",
        "-nodes",
        "-days",
        "1",
        "-keyout",
        str(key),
        "-out",
        str(cert),
    ]
    subprocess.run([*made, *subject], check=True, capture_output=True)
    jar = http.cookiejar.CookieJar()
    trusting = urllib.request.HTTPSHandler(context=ssl.create_default_context(cafile=str(cert)))
    browser = urllib.request.build_opener(trusting, urllib.request.HTTPCookieProcessor(jar))
    options = ("--tls-cert", str(cert), "--tls-key", str(key), "--name", "localhost", "--port", "8533")
    with serving(tmp_path, *options) as said:
        assert "Sign in" in opened(browser, "https://localhost:8533/")
        found = re.search(r"https://localhost:8533/once/\S+", said.read_text(encoding="utf-8"))
        assert found
        assert "Choose a password" in opened(browser, found[0])
        password = {"password": "three plums on a shelf", "again": "three plums on a shelf"}
        assert "administrator, administrator" in opened(browser, found[0], password)
        (cookie,) = jar
        assert cookie.secure
        assert cookie.has_nonstandard_attr("HttpOnly")
        assert cookie.get_nonstandard_attr("SameSite") == "lax"
        assert "A first day still needs" in opened(browser, "https://localhost:8533/set-up")
        with pytest.raises(urllib.error.HTTPError):
            opened(browser, found[0])
    with serving(tmp_path, "--port", "8533") as again:
        assert "Sign in" in opened(browser, "http://localhost:8533/")
        assert "Nobody can sign in" not in again.read_text(encoding="utf-8")
