"""README and DEVELOPERS say what is true of the code: commands, options, exit codes, keys, rules, aims, packages."""

import json
import re
import tomllib
from collections.abc import Iterator

import pytest
import typer

from app.cli import app as command_line
from demo_data.make_day import DAY_FILE
from solver.names import AIMS, RULES
from tests.house.source import ROOT, kept_files

README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
COMMANDS = typer.main.get_command(command_line).commands  # type: ignore[attr-defined]

SET_UP = (
    "python3 -m venv .venv && .venv/bin/pip install -q -e . && .venv/bin/channelday demo",
    "bash tests/run",
)


@pytest.mark.parametrize("command", SET_UP)
def test_the_readme_sets_up_within_its_first_lines(command: str) -> None:
    assert command in README.splitlines()[:25]


@pytest.mark.parametrize("name", COMMANDS)
def test_the_readme_shows_every_command_with_its_arguments_and_options(name: str) -> None:
    (row,) = re.findall(rf"^\| `channelday {name} ?([^`]*)` \|", README, re.MULTILINE)
    arguments = [p.metavar for p in COMMANDS[name].params if p.param_type_name == "argument"]
    options = [p.opts[0] for p in COMMANDS[name].params if p.param_type_name == "option" and p.opts != ["--help"]]
    assert re.findall(r"\b[A-Z]+\b(?:\.json)?", row.split("--")[0]) == arguments
    assert re.findall(r"--[a-z-]+", row) == options


@pytest.mark.parametrize("name", COMMANDS)
def test_the_readme_gives_the_right_defaults(name: str) -> None:
    shown = dict(re.findall(r"\[(--[a-z-]+) (\d+)\]", README[README.index(f"| `channelday {name}") :].split("` |")[0]))
    defaults = {p.opts[0]: p.default for p in COMMANDS[name].params if p.opts[0] in shown}
    assert {option: float(value) for option, value in shown.items()} == defaults


def test_the_readme_shows_no_command_that_is_not_there() -> None:
    assert set(re.findall(r"`channelday ([a-z-]+)", README)) == set(COMMANDS)


def _keys(value: object, under: str = "") -> Iterator[str]:
    if isinstance(value, dict):
        for key, entry in value.items():
            if under not in ("channels", "applicators", "items", "draw_w"):  # these are keyed by names of the clinic
                yield key
            yield from _keys(entry, key)
    elif isinstance(value, list):
        for entry in value:
            yield from _keys(entry)


def test_the_readme_explains_every_key_of_a_day_file() -> None:
    explained = set(re.findall(r"`([a-z_]+)`", README))
    assert set(_keys(json.loads(DAY_FILE.read_text(encoding="utf-8")))) - explained == set()


@pytest.mark.parametrize("name", [*RULES, *AIMS])
def test_the_readme_has_a_line_for_every_rule_and_aim(name: str) -> None:
    assert re.search(rf"^\| `{name}` \| \S", README, re.MULTILINE)


def test_every_picture_is_there_and_shown() -> None:
    pictures = [path for page in (README, DEVELOPERS) for path in re.findall(r"!\[[^\]]+\]\(([^)]+)\)", page)]
    kept = [path for path in kept_files() if path.startswith(".readme/") and not path.endswith(".md")]
    assert sorted(pictures) == sorted(kept)


def test_developers_justifies_each_direct_dependency_in_one_line() -> None:
    groups = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["dependency-groups"]
    direct = {entry.split("==")[0] for group in groups.values() for entry in group if isinstance(entry, str)}
    assert set(re.findall(r"^\| `([a-z0-9-]+)` \| \S", DEVELOPERS, re.MULTILINE)) == direct


def test_developers_names_only_files_that_are_there() -> None:
    named = set(re.findall(r"`((?:app|solver|tests|templates|static|demo_data|\.lock)/[\w./]*)`", DEVELOPERS))
    examples = {name for name in named if "NAME" in name}
    missing = [name for name in named - examples if not (ROOT / name).exists()]
    assert missing == []
