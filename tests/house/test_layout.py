"""The house as it was agreed: what lies at the top, one file for one rule, small files, nothing of one machine."""

import hashlib
import re

import pytest

from solver.names import AIMS, RULES, RuleName
from tests.house.source import ROOT, kept_files, kept_modules

TOP = {"README.md", "DEVELOPERS.md", "pyproject.toml", "app", "solver", "templates", "static", "tests", "demo_data"}
MOST_LINES = 300
LONGER: dict[str, str] = {}
"""Files that may be longer, each with its reason."""

OF_A_MACHINE = re.compile(r"/(?:work|tmp|root|home|Users)/\w|[A-Z]:\\\\Users", re.ASCII)


def _file_of(rule: RuleName) -> str:
    return "break_" if rule == "break" else rule


def test_the_top_holds_what_was_agreed() -> None:
    tops = {path.split("/")[0] for path in kept_files()}
    assert {top for top in tops if not top.startswith(".")} == TOP


@pytest.mark.parametrize("rule", RULES)
def test_a_rule_has_one_file_in_the_model_in_the_verifier_and_in_the_tests(rule: RuleName) -> None:
    name = _file_of(rule)
    wanted = [f"solver/rules/{name}.py", f"solver/verify/{name}.py", f"tests/solver/rules/test_{rule}.py"]
    assert [path for path in wanted if path not in kept_files()] == []


@pytest.mark.parametrize("aim", AIMS)
def test_an_aim_has_one_file(aim: str) -> None:
    assert f"solver/aims/{aim}.py" in kept_files()


def test_no_file_does_two_jobs() -> None:
    lines = {path: len((ROOT / path).read_text(encoding="utf-8").splitlines()) for path in _written_here()}
    assert {path: count for path, count in lines.items() if count > MOST_LINES and path not in LONGER} == {}


def _written_here() -> list[str]:
    ends = (".py", ".html", ".css", ".js")
    outside = ("tests/", "static/vendor/")
    return [path for path in kept_files() if path.endswith(ends) and not path.startswith(outside)]


def test_no_file_is_called_by_a_name_that_says_nothing() -> None:
    names = {path.rsplit("/", 1)[-1].removesuffix(".py") for path in kept_modules("app") + kept_modules("solver")}
    assert names & {"utils", "util", "helpers", "misc", "common"} == set()


@pytest.mark.parametrize("path", kept_files())
def test_nothing_names_a_path_of_one_machine(path: str) -> None:
    content = (ROOT / path).read_bytes()
    if b"\0" not in content and not path.startswith("static/vendor/"):
        assert OF_A_MACHINE.findall(content.decode("utf-8")) == []


def test_vendored_files_are_the_ones_that_were_taken() -> None:
    folder = ROOT / "static/vendor"
    listed = [line.split() for line in (folder / "checksums.sha256").read_text(encoding="utf-8").splitlines()]
    sums = {name.lstrip("*"): sum for sum, name in listed}
    kept = {path.removeprefix("static/vendor/") for path in kept_files() if path.startswith("static/vendor/")}
    assert sums.keys() | {"checksums.sha256"} == kept
    assert {name: hashlib.sha256((folder / name).read_bytes()).hexdigest() for name in sums} == sums
