"""Imports go one way: the solver knows nothing of the app, and OR-Tools stays in the search."""

import ast
import re
import subprocess
import sys

import pytest

from tests.house.source import ROOT, imports, kept_modules

GROUND = {"clock", "errors", "listening", "roles", "settings", "typed"}
MAY_IMPORT = {
    "migrations": {"db"},
    "models": GROUND | {"db"},
    "queries": GROUND | {"db", "models"},
    "worker": GROUND,
    "services": GROUND | {"db", "models", "queries", "worker"},
    "views": GROUND,
    "guards": GROUND,
    "templating": GROUND,
    "routes": GROUND | {"db", "services", "views", "guards"},
    "commands": GROUND | {"main", "services", "serving"},
    "main": GROUND | {"db", "services", "views", "guards", "routes", "templating", "worker"},
    "serving": GROUND,
    "demo": GROUND | {"db", "main", "services", "serving", "views"},
    "cli": GROUND | {"commands", "demo"},
    **dict.fromkeys(GROUND, GROUND),
    "db": GROUND,
    "__init__": set(),
}
"""For each room of the app, the other rooms it may import from: routes → services → queries → models."""

SEARCH_ROOMS = ("solver/search", "solver/columns/", "solver/exact/", "solver/rules/", "solver/aims/")
"""Where OR-Tools may be imported. Not in verify, report, offers, jsonio, or anything they share."""


def _room(name: str) -> str:
    """``app.views.page.DayPage`` and ``app/views/page.py`` are in ``views``."""
    return name.replace("/", ".").removesuffix(".py").split(".")[1]


@pytest.mark.parametrize("path", kept_modules("solver"))
def test_the_solver_knows_nothing_of_the_app(path: str) -> None:
    assert [name for name in imports(path) if name.split(".")[0] in ("app", "tests", "demo_data")] == []


@pytest.mark.parametrize("path", kept_modules("app"))
def test_the_app_imports_one_way(path: str) -> None:
    room = _room(path)
    others = {_room(name) for name in imports(path) if name.startswith("app.")} - {room}
    assert others <= MAY_IMPORT[room], f"{path} reaches into {sorted(others - MAY_IMPORT[room])}"


@pytest.mark.parametrize("path", [*kept_modules("app"), *kept_modules("solver")])
def test_or_tools_is_imported_in_the_search_only(path: str) -> None:
    if not path.startswith(SEARCH_ROOMS):
        assert [name for name in imports(path) if name.split(".")[0] == "ortools"] == []


@pytest.mark.parametrize(
    "module",
    [
        "app.main",
        "app.cli",
        "solver.verify",
        "solver.report",
        "solver.jsonio",
        "solver.masks.offers",
        "solver.offers",
        "solver.whynot",
        "solver.holding_back",
        "solver.opening_moves",
        "solver.together",
        "solver.courses",
        "solver.simulation",
        "solver.whatif",
        "solver.late",
    ],
)
def test_or_tools_is_not_loaded_before_a_search_runs(module: str) -> None:
    loaded = f"import sys, {module}; sys.exit('ortools' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", loaded], cwd=ROOT, check=False).returncode == 0


@pytest.mark.parametrize(("words", "home"), [("sqlite|pragma", "sqlite"), ("psycopg|postgresql", "postgresql")])
def test_what_holds_for_one_database_only_stands_in_one_file(words: str, home: str) -> None:
    """Elsewhere a database is named in its address, and where one of the two files is chosen."""
    choosing = {f"app/db/{name}.py" for name in ("store", "guards", "migrating", "keeping")}
    choosing |= {f"app/services/{name}.py" for name in ("databases", "backups", "restoring")}
    choosing |= {"app/commands/data_option.py"}
    free = choosing | {f"app/db/{home}.py", "app/db/partial.py"}
    for path in set(kept_modules("app")) - free:
        code = re.sub(r"(sqlite|postgresql)_where", "", _said_in_code(path))
        assert re.findall(words, code, re.IGNORECASE) == [], path


def _said_in_code(path: str) -> str:
    """The names and the texts that a file's code uses, without its docstrings and comments."""
    tree = ast.parse((ROOT / path).read_text(encoding="utf-8"))
    names = [node.id for node in ast.walk(tree) if isinstance(node, ast.Name)]
    names += [node.attr for node in ast.walk(tree) if isinstance(node, ast.Attribute)]
    names += [node.arg for node in ast.walk(tree) if isinstance(node, ast.keyword) and node.arg]
    docstrings = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    texts = [node for node in ast.walk(tree) if isinstance(node, ast.Constant) and id(node) not in docstrings]
    return " ".join([*names, *imports(path), *(node.value for node in texts if isinstance(node.value, str))])
