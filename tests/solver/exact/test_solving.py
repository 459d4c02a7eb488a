"""How CP-SAT is called."""

import pytest
from ortools.sat.python import cp_model

from solver.aims import AIM_CLASSES
from solver.exact.model import DayModel
from solver.exact.solving import Limits, run
from solver.rules import constrain
from tests.bench.days import bench_day


@pytest.mark.parametrize("workers", [2, 3, 8])
def test_no_worker_does_what_can_end_the_process(workers: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """By CP-SAT's own account of what each does; ``fj`` is its feasibility jump."""
    lines: list[str] = []

    class Telling(cp_model.CpSolver):
        def __init__(self) -> None:
            super().__init__()
            self.parameters.log_search_progress = True
            self.parameters.log_to_stdout = False
            self.log_callback = lines.append

    monkeypatch.setattr(cp_model, "CpSolver", Telling)
    model = DayModel(bench_day("S", 1))
    constrain(model)
    model.cp.minimize(AIM_CLASSES["wish"].minimise(model))
    run(model, Limits(seconds=20, workers=workers, seed=0), on_solution=lambda value: None)
    told = [line for text in lines for line in text.splitlines() if "subsolver" in line]
    doing = [line for line in told if "ignored" not in line and "Parameters" not in line]
    assert any("first solution" in line for line in doing)
    assert not any("fj" in line for line in doing)
