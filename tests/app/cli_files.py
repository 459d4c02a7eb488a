"""A small day with a right plan as files, and the command line run on them. Nothing here is a real clinic."""

import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

from solver.jsonio import day_document, plan_document, write_json
from solver.problem import Day
from solver.schedule import Plan
from tests.builders import a_day, a_part, a_plan, a_visit, hands_on, placed, unattended

ROOT = Path(__file__).parents[2]


def a_small_day() -> Day:
    return a_day(a_visit(a_part(hands_on(5), unattended(10)), id="V1"), a_visit(a_part(hands_on(5)), id="V2"))


def a_right_plan(day: Day) -> Plan:
    return a_plan(day, placed(day.visits[0], "09:00"), placed(day.visits[1], "09:30"))


@dataclass(frozen=True)
class Files:
    """The paths of one folder; ``day`` and ``plan`` are written, ``out`` is not."""

    folder: Path
    day: Path
    plan: Path
    out: Path

    def left(self) -> list[str]:
        return sorted(path.name for path in self.folder.iterdir())


def written(folder: Path, day: Day, plan: Plan) -> Files:
    files = Files(folder, folder / "day.json", folder / "plan.json", folder / "out.json")
    write_json(files.day, day_document(day))
    write_json(files.plan, plan_document(plan))
    return files


def channelday(*arguments: str | Path, **environment: str) -> subprocess.CompletedProcess[bytes]:
    """The real program, in a process of its own."""
    return subprocess.run(
        [sys.executable, "-c", "from app.cli import main; main()", *arguments],
        env={**os.environ, "PYTHONPATH": str(ROOT), **environment},
        capture_output=True,
        timeout=30,
        check=False,
    )
