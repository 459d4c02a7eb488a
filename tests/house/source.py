"""The repository's own files, as the house tests read them."""

import ast
import subprocess
from collections.abc import Iterator
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


@cache
def kept_files() -> tuple[str, ...]:
    """Every file that git keeps, by its path from the top."""
    listed = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, check=True, capture_output=True, text=True).stdout
    return tuple(path for path in listed.split("\0") if path and (ROOT / path).exists())


def kept_modules(package: str) -> list[str]:
    """The Python files that git keeps in a package, by their paths."""
    return [path for path in kept_files() if path.startswith(f"{package}/") and path.endswith(".py")]


def imports(path: str) -> Iterator[str]:
    """The full name of every module or name that a file imports, anywhere in it."""
    for node in ast.walk(ast.parse((ROOT / path).read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}:{node.lineno}: imports are written in full"
            yield from (f"{node.module}.{alias.name}" for alias in node.names)
