"""Every key of both files, one by one: dropped, misspelt, given twice, of a wrong type. Each at its place, alone."""

import json
from collections.abc import Callable, Iterator
from copy import deepcopy
from functools import partial
from typing import Any

import pytest

from solver.errors import InputError
from solver.jsonio import parse_day, parse_plan
from tests.solver.reading.full_files import Document, content, full_day, full_plan, infeasible_plan

Path = tuple[str | int, ...]
Parse = Callable[[bytes], object]

FILES: dict[str, tuple[Document, Parse]] = {
    "day": (full_day(), parse_day),
    "plan": (full_plan(), parse_plan),
    "infeasible": (infeasible_plan(), parse_plan),
}
OPEN_OBJECTS = frozenset({"draw_w", "channels", "applicators", "items", "scores", "bounds"})
"""Objects whose keys are the file's own words."""
OPTIONAL = frozenset(
    {
        *("step_min", "move_min", "bay_turnover_min", "published", "aims"),
        *("name", "hours", "battery", "start_pct", "pump_w", "min_charge_min"),
        *("fits", "tags", "skills", "breaks", "watch_free", "watch_busy"),
        *("priority", "free", "wish", "therapist_wish", "therapist_must", "place_tags", "same_unit", "fixed"),
        *("applicators", "suction_kpa", "skill", "units", "max_wait_min"),
    }
)
NULLABLE = frozenset(
    {
        *("battery", "wish", "therapist_wish", "therapist_must", "fixed", "therapist"),
        *("suction_kpa", "skill", "max_wait_min"),
    }
)


def test_the_full_files_are_right() -> None:
    for document, parse in FILES.values():
        parse(content(document))


def _keys(value: Any, path: Path = ()) -> Iterator[Path]:
    """Every fixed key in the document, once for each place it stands at."""
    if isinstance(value, dict):
        is_open = bool(path) and path[-1] in OPEN_OBJECTS
        for key, inner in value.items():
            if not is_open:
                yield (*path, key)
            yield from _keys(inner, (*path, key))
    elif isinstance(value, list):
        for i, inner in enumerate(value):
            yield from _keys(inner, (*path, i))


def _values(value: Any, path: Path = ()) -> Iterator[Path]:
    """Every value below the top."""
    if path:
        yield path
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, below in inner:
        yield from _values(below, (*path, key))


def where(path: Path) -> str:
    text = "".join(f"[{step}]" if isinstance(step, int) else f".{step}" for step in path)
    return text.removeprefix(".")


def _required(file: str, path: Path) -> bool:
    key = path[-1]
    if "fixed" in path[:-1] or (file == "day" and len(path) == 1 and key in ("breaks", "units")):
        return key == "units"
    top = path[0]
    if file != "day" or (top == "published" and len(path) > 1):
        return True
    if key == "hours":
        return top == "staff"
    if key in ("applicators", "units"):
        return len(path) == 1
    return key not in OPTIONAL


def _changed(document: Document, path: Path, change: Callable[[Any, Any], None]) -> bytes:
    copy = deepcopy(document)
    holder: Any = copy
    for step in path[:-1]:
        holder = holder[step]
    change(holder, path[-1])
    return content(copy)


def _places(parse: Parse, data: bytes) -> list[str]:
    try:
        parse(data)
    except InputError as error:
        return [fault.where for fault in error.faults]
    return []


ALL_KEYS = [pytest.param(file, path, id=f"{file}:{where(path)}") for file in FILES for path in _keys(FILES[file][0])]
ALL_VALUES = [
    pytest.param(file, path, id=f"{file}:{where(path)}") for file in FILES for path in _values(FILES[file][0])
]


@pytest.mark.parametrize(("file", "path"), ALL_KEYS)
def test_a_dropped_key_is_missed_where_it_has_to_be(file: str, path: Path) -> None:
    document, parse = FILES[file]
    found = _places(parse, _changed(document, path, lambda holder, key: holder.pop(key)))
    assert found == ([where(path)] if _required(file, path) else [])


@pytest.mark.parametrize(("file", "path"), ALL_KEYS)
def test_a_misspelt_key_is_named_once_with_the_right_one(file: str, path: Path) -> None:
    document, parse = FILES[file]

    def misspell(holder: Any, key: str) -> None:
        holder[f"{key}x"] = holder.pop(key)

    with pytest.raises(InputError) as refusal:
        parse(_changed(document, path, misspell))
    (fault,) = refusal.value.faults
    assert fault.where == f"{where(path)}x"
    assert fault.right == f"write {path[-1]!r}"


@pytest.mark.parametrize(("file", "path"), ALL_KEYS)
def test_a_key_given_twice_is_named(file: str, path: Path) -> None:
    document, parse = FILES[file]

    def mark(holder: Any, key: str) -> None:
        holder[f"{key}-again"] = holder[key]

    text = _changed(document, path, mark).decode().replace(f"{json.dumps(f'{path[-1]}-again')}:", f'"{path[-1]}":')
    assert _places(parse, text.encode()) == [where(path)]


@pytest.mark.parametrize(("file", "path"), ALL_VALUES)
def test_a_wrong_type_is_found_where_it_stands_and_alone(file: str, path: Path) -> None:
    document, parse = FILES[file]
    for wrong in _wrong_for(_value(document, path), path):
        assert _places(parse, _changed(document, path, partial(_put, wrong))) == [where(path)], wrong


def _put(value: object, holder: Any, key: Any) -> None:
    holder[key] = value


def _value(document: Document, path: Path) -> Any:
    value: Any = document
    for step in path:
        value = value[step]
    return value


def _wrong_for(right: object, path: Path) -> list[object]:
    """Values of every JSON type that may not stand there; ``10**30`` is no number that any key takes."""
    wrong: list[object] = [5.0, float("nan"), float("-inf"), 10**30]
    if not isinstance(right, bool):
        wrong.append(True)
    if isinstance(right, bool) or not isinstance(right, int):
        wrong.append(1)
    if not isinstance(right, str | None):
        wrong.append("☂")
    if not isinstance(right, list):
        wrong.append([])
    if not isinstance(right, dict):
        wrong.append({"☂": "☂"})
    if right is not None and path[-1] not in NULLABLE and path[-2:-1] != ("hands",):
        wrong.append(None)
    return wrong
