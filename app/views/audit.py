"""The audit as lines to read."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

_LONGEST = 2_000


@dataclass(frozen=True, slots=True)
class Change:
    """One thing that was changed; an empty ``before`` or ``after``: there was none, or is none any more."""

    what: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class AuditRow:
    """One row of the audit, with local date and time."""

    date: str
    time: str
    actor: str
    action: str
    record: str
    changes: tuple[Change, ...]


def changes_of(before: Mapping[str, Any], after: Mapping[str, Any]) -> tuple[Change, ...]:
    """One line for each thing that differs; what is a mapping on both sides is taken apart once."""
    found = []
    for key in dict.fromkeys([*before, *after]):
        old, new = before.get(key), after.get(key)
        if isinstance(old or {}, dict) and isinstance(new or {}, dict) and (old or new):
            inner_old, inner_new = old or {}, new or {}
            for inner in dict.fromkeys([*inner_old, *inner_new]):
                found.append(Change(f"{key}: {inner}", _text(inner_old.get(inner)), _text(inner_new.get(inner))))
        else:
            found.append(Change(key, _text(old), _text(new)))
    return tuple(found)


def _text(value: object) -> str:
    if value is None or value == "":
        return ""
    text = value if isinstance(value, str) else json.dumps(value, ensure_ascii=False)
    return text if len(text) <= _LONGEST else f"{text[:_LONGEST]}…"
