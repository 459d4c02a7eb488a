"""A day file and a plan file in which every key of the contract stands. The clinic and its people are invented."""

import json
from typing import Any

Document = dict[str, Any]


def full_day() -> Document:
    """A right day file with every key, optional ones included."""
    return {
        "format": "channelday-day/1",
        "date": "2031-03-04",
        "step_min": 5,
        "open": "09:00",
        "close": "12:00",
        "move_min": 5,
        "bay_turnover_min": 5,
        "units": [
            {
                "id": "U1",
                "name": "Window unit",
                "channels": [{"id": "s1", "drives": ["pads", "cups"]}, {"id": "s2", "drives": ["pads"]}],
                "patients_at_once": 2,
                "places": ["front"],
                "hours": [["09:00", "10:00"], ["10:00", "12:00"]],
                "battery": {
                    "capacity_wh": 40,
                    "start_pct": 90,
                    "reserve_pct": 20,
                    "standby_w": 6,
                    "draw_w": {"pads": 12, "cups": 12, "ultrasound": 25},
                    "pump_w": 15,
                    "charge_w": 30,
                    "min_charge_min": 20,
                },
            },
            {"id": "U2", "channels": [{"id": "s1", "drives": []}], "patients_at_once": 1, "places": ["front", "back"]},
        ],
        "applicators": [
            {"id": "pad-sets", "name": "Pads", "items": ["pads-1", "pads-2"], "fits": ["U1"], "turnaround_min": 5},
            {"id": "cup-sets", "items": ["cups-1"], "turnaround_min": 20},
        ],
        "places": [
            {"id": "front", "name": "Front room", "bays": ["F1", "F2"], "tags": ["step-free"]},
            {"id": "back", "bays": ["B1"]},
        ],
        "staff": [
            {
                "id": "T1",
                "name": "Ines Oduya",
                "kind": "therapist",
                "skills": ["suction"],
                "hours": [["09:00", "12:00"]],
                "breaks": [{"min": 15, "between": ["10:00", "11:00"]}],
                "watch_free": 4,
                "watch_busy": 0,
            },
            {"id": "A1", "kind": "assistant", "hours": []},
        ],
        "visits": [
            {
                "id": "V1",
                "patient": "P-001",
                "priority": 2,
                "free": [["09:00", "12:00"]],
                "wish": "09:30",
                "therapist_wish": "T1",
                "therapist_must": "T1",
                "place_tags": ["step-free"],
                "same_unit": True,
                "parts": [
                    {
                        "id": "p1",
                        "channels": {"pads": 1},
                        "applicators": {"pad-sets": 1},
                        "suction_kpa": 20,
                        "skill": "suction",
                        "phases": [
                            {"min": 5, "hands": "therapist", "running": False},
                            {"min": 10, "hands": "nobody", "running": True},
                        ],
                        "units": ["U1"],
                        "max_wait_min": 30,
                    }
                ],
                "fixed": {
                    "therapist": "T1",
                    "parts": [
                        {
                            "start": "09:15",
                            "unit": "U1",
                            "place": "front",
                            "bay": "F1",
                            "channels": {"pads": ["s1"]},
                            "items": {"pad-sets": ["pads-1"]},
                        }
                    ],
                },
            },
            {"id": "V2", "patient": "P-002", "parts": [a_part_document()]},
        ],
        "published": [a_placed_document("V1")],
        "aims": ["placed", "stable", "wish", "therapist", "wait", "finish"],
    }


def full_plan() -> Document:
    """A plan file of right shape with every key but ``conflict``."""
    return {
        "format": "channelday-plan/1",
        "date": "2031-03-04",
        "status": "feasible",
        "visits": [a_placed_document("V1")],
        "left_out": [{"id": "V2", "reasons": [{"rule": "hands", "text": "nobody is there"}]}],
        "breaks": [{"staff": "T1", "start": "10:00", "end": "10:15"}],
        "scores": {"placed": 1, "wish": 15},
        "bounds": {"placed": 0, "wish": 0},
    }


def infeasible_plan() -> Document:
    """An infeasible plan file of right shape, with ``conflict``."""
    return {
        "format": "channelday-plan/1",
        "date": "2031-03-04",
        "status": "infeasible",
        "visits": [],
        "left_out": [],
        "breaks": [],
        "scores": {},
        "bounds": {},
        "conflict": [{"id": "V1", "rules": ["hands", "break"]}],
    }


def a_part_document() -> Document:
    return {"id": "p1", "channels": {}, "phases": [{"min": 5, "hands": "anyone", "running": False}]}


def a_placed_document(id: str) -> Document:
    part = {
        "id": "p1",
        "start": "09:15",
        "unit": "U1",
        "place": "front",
        "bay": "F1",
        "channels": {"pads": ["s1"]},
        "items": {"pad-sets": ["pads-1"]},
        "hands": ["T1", None],
    }
    return {"id": id, "therapist": "T1", "parts": [part]}


def content(document: object) -> bytes:
    return json.dumps(document).encode()
