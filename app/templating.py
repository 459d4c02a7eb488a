"""Templates: autoescaped, and an error where one reads what its view does not have."""

from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined


def environment(folder: Path) -> Environment:
    return Environment(
        loader=FileSystemLoader(folder),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
    )
