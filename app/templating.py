"""Templates: autoescaped, and an error where one reads what its view does not have."""

from functools import cache
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined


@cache
def environment(folder: Path) -> Environment:
    """One for all apps of a process, so that a template is compiled once; nothing of an app is in it."""
    return Environment(
        loader=FileSystemLoader(folder),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
    )
