"""PyJobShop on the job-shop instances, in a venv of its own: it wants other versions of OR-Tools than we pin."""

import json
import subprocess
import sys
import tempfile
from pathlib import Path

from tests.bench.cases import Case
from tests.bench.outcome import Outcome
from tests.outside.job_shop import read_job_shop

PINNED = "pyjobshop==0.0.9"
VENV = Path(tempfile.gettempdir()) / f"channelday-bench-{PINNED}"
SCRIPT = Path(__file__).with_name("pyjobshop_script.py")


def install() -> str:
    """Make the venv if it is not there; an empty text, or in one line why it cannot be."""
    python = VENV / "bin/python"
    done = VENV / "installed"
    if done.exists():
        return ""
    try:
        subprocess.run([sys.executable, "-m", "venv", "--clear", str(VENV)], check=True, capture_output=True)
        pip = [str(python), "-m", "pip", "install", "--quiet", "--disable-pip-version-check", PINNED]
        subprocess.run(pip, check=True, capture_output=True, text=True, timeout=600)
    except (subprocess.SubprocessError, OSError) as error:
        said = getattr(error, "stderr", None) or str(error)
        return f"skipped: {PINNED} cannot be installed: {str(said).strip().splitlines()[-1]}"
    done.touch()
    return ""


def run_pyjobshop(case: Case) -> Outcome:
    """Its own model of the instance, two workers; it says when it ends and not when it found its plans."""
    trouble = install()
    if trouble:
        return Outcome(note=trouble)
    instance = read_job_shop(case.name)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "instance.json"
        path.write_text(json.dumps({"machines": instance.machines, "jobs": instance.jobs}), encoding="utf-8")
        command = [str(VENV / "bin/python"), str(SCRIPT), str(path), str(case.seconds), "2"]
        ran = subprocess.run(command, check=False, capture_output=True, text=True)
    if ran.returncode:
        return Outcome(note=f"failed: {ran.stderr.strip().splitlines()[-1]}")
    answer = json.loads(ran.stdout.splitlines()[-1])
    if answer["makespan"] is None:
        return Outcome(note=f"no plan in {case.seconds:.0f} s", memory_mb=answer["memory_mb"])
    return Outcome(
        scores={"placed": 0, "finish": answer["makespan"]},
        bounds={"placed": 0, "finish": answer["bound"]},
        proof=answer["seconds"] if answer["proved"] else None,
        memory_mb=answer["memory_mb"],
    )
