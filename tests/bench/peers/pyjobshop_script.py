"""Solves one job shop with PyJobShop's own model. Runs by itself, with the Python of a venv that has PyJobShop.

Arguments: a JSON file ``{"machines": n, "jobs": [[[machine, minutes], …], …]}``, seconds, workers. Answers one line of
JSON: makespan and bound (null where there is none), whether it is proved, seconds, memory in MB.
"""

import json
import resource
import sys
import time
from pathlib import Path

import pyjobshop  # type: ignore[import-not-found]


def main(path: str, seconds: str, workers: str) -> None:
    instance = json.loads(Path(path).read_text(encoding="utf-8"))
    began = time.monotonic()
    model = pyjobshop.Model()
    machines = [model.add_machine() for _ in range(instance["machines"])]
    for operations in instance["jobs"]:
        job = model.add_job()
        before = None
        for machine, minutes in operations:
            task = model.add_task(job=job)
            model.add_mode(task, resources=machines[machine], duration=minutes)
            if before is not None:
                model.add_end_before_start(before, task)
            before = task
    result = model.solve(solver="ortools", time_limit=float(seconds), num_workers=int(workers), display=False)
    found = result.status.value in ("Optimal", "Feasible")
    answer = {
        "version": pyjobshop.__version__ if hasattr(pyjobshop, "__version__") else "",
        "makespan": round(result.objective) if found else None,
        "bound": round(result.lower_bound) if found else None,
        "proved": result.status.value == "Optimal",
        "seconds": time.monotonic() - began,
        "memory_mb": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024,
    }
    sys.stdout.write(json.dumps(answer) + "\n")


if __name__ == "__main__":
    main(*sys.argv[1:])
