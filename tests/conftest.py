"""What all tests share: the order they run in, a fixed profile for the random ones, and statements compiled once."""

import os

import pytest
from hypothesis import settings

from tests.compiled import compile_once

settings.register_profile("here", deadline=None)
settings.register_profile("ci", deadline=None, derandomize=True, print_blob=True)
settings.load_profile("ci" if os.environ.get("CI") else "here")
compile_once()


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Fastest first, so that a plain mistake shows within seconds: unit tests, outside checks, slow ones, browser."""
    items.sort(key=_rank)


def _rank(item: pytest.Item) -> int:
    folder = item.path.relative_to(item.config.rootpath).parts[1]
    if folder == "browser" or item.get_closest_marker("browser"):
        return 3
    if item.get_closest_marker("slow"):
        return 2
    return 1 if folder == "outside" else 0
