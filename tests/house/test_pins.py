"""What is installed is what was tried: direct pins and locks agree, and name no place to fetch from."""

import re
import sys
import tomllib
from typing import Any

import pytest

from tests.house.source import ROOT, imports, kept_modules

PROJECT: dict[str, Any] = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
PIN = re.compile(r"^([a-z0-9-]+)==([\w.]+)", re.MULTILINE)

MODULES = {"fhir-resources": "fhir", "argon2-cffi": "argon2", "python-multipart": "python_multipart"}
"""Packages that are imported by another name."""


def _direct(group: str) -> dict[str, str]:
    entries = [entry for entry in PROJECT["dependency-groups"][group] if isinstance(entry, str)]
    pins = [PIN.fullmatch(entry) for entry in entries]
    assert all(pins), f"every direct dependency is pinned exactly: {entries}"
    return {pin[1]: pin[2] for pin in pins if pin}


def _locked(name: str) -> dict[str, str]:
    return dict(PIN.findall((ROOT / ".lock" / f"{name}.txt").read_text(encoding="utf-8")))


@pytest.mark.parametrize(("group", "lock"), [("run", "run"), ("run", "tests"), ("tests", "tests")])
def test_direct_pins_are_in_the_lock(group: str, lock: str) -> None:
    assert _direct(group).items() <= _locked(lock).items()


def test_the_tests_run_on_exactly_what_users_run_on() -> None:
    assert _locked("run").items() <= _locked("tests").items()


def test_a_plain_install_installs_the_lock() -> None:
    assert PROJECT["tool"]["setuptools"]["dynamic"]["dependencies"] == {"file": [".lock/run.txt"]}


def test_the_build_and_the_tests_use_one_setuptools() -> None:
    assert PROJECT["build-system"]["requires"] == [f"setuptools=={_locked('tests')['setuptools']}"]


def test_the_driver_of_a_server_is_the_one_that_was_tried() -> None:
    pinned = _direct("tests")
    assert pinned["psycopg"] == pinned["psycopg-binary"]
    assert PROJECT["project"]["optional-dependencies"] == {"postgresql": [f"psycopg[binary]=={pinned['psycopg']}"]}


@pytest.mark.parametrize("lock", ["run", "tests"])
def test_a_lock_names_no_place_to_fetch_from(lock: str) -> None:
    text = (ROOT / ".lock" / f"{lock}.txt").read_text(encoding="utf-8")
    assert re.findall(r"://|--\S*index|--find-links| @ ", text) == []


def test_every_locked_package_of_the_tests_has_hashes() -> None:
    text = (ROOT / ".lock/tests.txt").read_text(encoding="utf-8")
    entries = re.split(r"^(?=[a-z])", text, flags=re.MULTILINE)[1:]
    assert len(entries) == len(_locked("tests"))
    assert all("--hash=sha256:" in entry for entry in entries)


def test_every_dependency_is_used_and_every_import_is_declared() -> None:
    modules = [*kept_modules("app"), *kept_modules("solver"), *kept_modules("demo_data")]
    imported = {name.split(".")[0] for path in modules for name in imports(path)}
    outside = imported - {"app", "solver", "demo_data"} - sys.stdlib_module_names
    assert outside == {MODULES.get(name, name) for name in _direct("run")}
