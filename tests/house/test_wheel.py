"""The wheel: all that runs lies in it, it installs, and it works from any folder."""

import json
import os
import re
import signal
import subprocess
import sys
import sysconfig
import tomllib
import venv
from collections.abc import Mapping
from pathlib import Path
from urllib.parse import urljoin
from urllib.request import HTTPCookieProcessor, build_opener, urlopen
from zipfile import ZipFile

import pytest

from solver.jsonio import read_day
from tests.house.source import ROOT, kept_files, kept_modules

DATA_FOLDERS = ("templates", "static", "demo_data")
BUILD = (sys.executable, "-m", "pip", "wheel", "--quiet", "--no-deps", "--no-build-isolation", "--no-index")


def _packages() -> set[str]:
    folders = {path.rsplit("/", 1)[0] for package in ("app", "solver") for path in kept_modules(package)}
    return {folder.replace("/", ".") for folder in folders} | {f"app.{folder}" for folder in DATA_FOLDERS}


def test_pyproject_lists_every_package() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    assert set(project["tool"]["setuptools"]["packages"]) == _packages()


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A wheel built from a copy of the files that git keeps, as a fresh clone would hold them."""
    source, out = tmp_path_factory.mktemp("source"), tmp_path_factory.mktemp("wheel")
    for path in kept_files():
        (source / path).parent.mkdir(parents=True, exist_ok=True)
        (source / path).write_bytes((ROOT / path).read_bytes())
    subprocess.run([*BUILD, "--wheel-dir", out, source], check=True)
    (built,) = out.glob("channelday-*.whl")
    return built


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The program of the wheel, in a venv of its own that sees the tests' dependencies and not the source tree."""
    folder = tmp_path_factory.mktemp("installed")
    venv.create(folder, with_pip=False)
    python = folder / "bin/python"
    site = folder / f"lib/python{sysconfig.get_python_version()}/site-packages"
    (site / "dependencies.pth").write_text(f"{sysconfig.get_path('purelib')}\n", encoding="utf-8")
    pip = (sys.executable, "-m", "pip", "--python", os.fspath(python))
    subprocess.run([*pip, "install", "--quiet", "--no-deps", "--no-index", wheel], check=True)
    return folder / "bin/channelday"


@pytest.mark.slow
def test_all_that_runs_lies_inside(wheel: Path) -> None:
    runs = {path for path in kept_files() if path.startswith(("app/", "solver/"))}
    data = {f"app/{path}" for path in kept_files() if path.startswith(tuple(f"{name}/" for name in DATA_FOLDERS))}
    with ZipFile(wheel) as archive:
        inside = {name for name in archive.namelist() if ".dist-info/" not in name}
    assert inside == runs | data


@pytest.mark.slow
def test_it_says_its_version(installed: Path, tmp_path: Path) -> None:
    said = _run(installed, "--version", folder=tmp_path)
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    assert said == f"channelday {project['project']['version']}\n"


@pytest.mark.slow
def test_it_solves_verifies_and_reports_the_demo_day_from_any_folder(installed: Path, tmp_path: Path) -> None:
    day = next(installed.parents[1].glob("lib/python*/site-packages/app/demo_data/day.json"))
    (tmp_path / "day.json").write_bytes(day.read_bytes())
    _run(installed, "solve", "day.json", "--out", "plan.json", "--seconds", "5", folder=tmp_path)
    _run(installed, "verify", "day.json", "plan.json", folder=tmp_path)
    _run(installed, "report", "day.json", "plan.json", "--out", "report.json", folder=tmp_path)
    report = json.loads((tmp_path / "report.json").read_text(encoding="utf-8"))
    assert report["clinic"]["visits_placed"] + report["clinic"]["visits_left_out"] == 42


@pytest.mark.slow
def test_it_keeps_a_day_in_a_database_from_any_folder(installed: Path, tmp_path: Path) -> None:
    day = next(installed.parents[1].glob("lib/python*/site-packages/app/demo_data/day.json"))
    _run(installed, "init", "--zone", "Europe/Dublin", folder=tmp_path)
    _run(installed, "import-day", os.fspath(day), folder=tmp_path)
    _run(installed, "export-day", json.loads(day.read_bytes())["date"], "--out", "out.json", folder=tmp_path)
    _run(installed, "upgrade", folder=tmp_path)
    assert read_day(tmp_path / "out.json") == read_day(day)


@pytest.mark.slow
@pytest.mark.timeout(120)
def test_the_demo_serves_its_page_and_its_files_from_any_folder(installed: Path, tmp_path: Path) -> None:
    with subprocess.Popen(
        [installed, "demo", "--port", "8531", "--seconds", "2"],
        cwd=tmp_path,
        env=_clean_environment(),
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    ) as demo:
        try:
            page, address = _first_page(demo)
            assert "Ada K." in page
            linked = set(re.findall(r'(?:href|src)="(/static/[^"]+)"', page))
            assert linked
            for path in linked:
                assert urlopen(urljoin(address, path), timeout=10).status == 200
        finally:
            demo.send_signal(signal.SIGINT)
        assert demo.wait(timeout=20) == 0
    assert list(tmp_path.iterdir()) == []


def _first_page(demo: "subprocess.Popen[str]") -> tuple[str, str]:
    """The page that the demo says it serves, and its address."""
    assert demo.stdout is not None
    said = []
    for line in demo.stdout:
        said.append(line)
        if found := re.search(r"http://127\.0\.0\.1:\d+/once/\S+", line):
            with build_opener(HTTPCookieProcessor()).open(found[0], timeout=20) as answer:
                return answer.read().decode("utf-8"), found[0]
    pytest.fail(f"the demo ended without serving a page:\n{''.join(said)}")


def _run(program: Path, *arguments: str, folder: Path) -> str:
    """What the program says. Fails with what it complains of where its exit code is not 0."""
    ran = subprocess.run(
        [program, *arguments], cwd=folder, env=_clean_environment(), check=False, capture_output=True, text=True
    )
    assert ran.returncode == 0, ran.stderr
    return ran.stdout


def _clean_environment() -> Mapping[str, str]:
    return {key: value for key, value in os.environ.items() if not key.startswith("PYTHON")}
