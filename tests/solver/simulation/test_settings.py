"""Settings: out of range is refused, each by its option."""

from typing import Any

import pytest

from solver.errors import InputError
from solver.simulation.settings import Settings


@pytest.mark.parametrize(
    ("wrong", "where"),
    [
        ({"late_share": -0.1}, "--late-share"),
        ({"missed_share": 1.1}, "--missed-share"),
        ({"overrun_share": float("nan"), "overrun_mean": 2.0}, "--overrun-share"),
        ({"late_mean": 0.5}, "--late-mean"),
        ({"late_mean": float("inf")}, "--late-mean"),
        ({"late_mean": 241.0}, "--late-mean"),
        ({"overrun_share": 0.1}, "--overrun-mean"),
        ({"late_limit": -1}, "--late-limit"),
        ({"late_limit": 241}, "--late-limit"),
    ],
)
def test_out_of_range_is_named(wrong: dict[str, Any], where: str) -> None:
    with pytest.raises(InputError) as refused:
        Settings(**wrong)
    assert [fault.where for fault in refused.value.faults] == [where]


def test_every_fault_is_told() -> None:
    with pytest.raises(InputError) as refused:
        Settings(late_share=2, missed_share=2, overrun_share=2)
    assert len(refused.value.faults) == 4
