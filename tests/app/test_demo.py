"""``channelday demo``: from the command to a page, and back to nothing left behind."""

import os
import re
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest
import typer

from app.demo import _listen

ROOT = Path(__file__).parents[2]


@pytest.fixture
def taken() -> Iterator[int]:
    """A port somebody else listens on."""
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        yield other.getsockname()[1]


def test_a_taken_port_gives_the_next_and_says_so(taken: int, capsys: pytest.CaptureFixture[str]) -> None:
    with _listen(taken) as listener:
        used = listener.getsockname()[1]
    assert taken < used < taken + 20
    assert capsys.readouterr().out == f"Port {taken} is taken; using {used}.\n"


def test_it_says_so_where_no_port_is_free(
    taken: int, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("app.demo.TRIES", 1)
    with pytest.raises(typer.Exit) as end:
        _listen(taken)
    assert end.value.exit_code == 2
    assert "--port" in capsys.readouterr().err


def test_it_listens_on_loopback_only() -> None:
    with _listen(20_000) as listener:
        assert listener.getsockname()[0] == "127.0.0.1"


@pytest.mark.slow
@pytest.mark.parametrize("end", [signal.SIGINT, signal.SIGTERM])
def test_the_demo_solves_serves_and_leaves_nothing(tmp_path: Path, end: signal.Signals) -> None:
    start = "from app.cli import main\nif __name__ == '__main__':\n    main()\n"
    (tmp_path / "start.py").write_text(start, encoding="utf-8")
    (tmp_path / "temporary").mkdir()
    said = tmp_path / "said.txt"
    with said.open("w", encoding="utf-8") as out:
        demo = subprocess.Popen(
            [sys.executable, str(tmp_path / "start.py"), "demo", "--seconds", "1"],
            cwd=tmp_path,
            env=os.environ | {"PYTHONPATH": str(ROOT), "TMPDIR": str(tmp_path / "temporary")},
            stdout=out,
            stderr=subprocess.STDOUT,
        )
    try:
        address = _address(said, demo)
        opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor())
        with opener.open(address, timeout=10) as answer:
            page = answer.read().decode()
        assert "every rule holds" in page
        assert 'id="timeline"' in page
        assert [path.name for path in (tmp_path / "temporary").glob("channelday-demo-*/*")]
    finally:
        demo.send_signal(end)
        demo.wait(15)
    assert demo.returncode == 0
    assert list((tmp_path / "temporary").glob("channelday-demo-*")) == []
    assert "Traceback" not in said.read_text(encoding="utf-8")


def _address(said: Path, demo: "subprocess.Popen[bytes]") -> str:
    end = time.monotonic() + 50
    while time.monotonic() < end and demo.poll() is None:
        found = re.search(r"http://127\.0\.0\.1:\d+/once/\S+(?=\n)", said.read_text(encoding="utf-8"))
        if found:
            return found.group()
        time.sleep(0.1)
    raise AssertionError(said.read_text(encoding="utf-8"))
