"""The demo clinic: Quillmere Physiotherapy, its units, things, rooms and people. All of it is invented.

Watts, watt-hours and cleaning minutes are made up as well: a real clinic takes its own from its makers' labels.
"""

from typing import Any

Row = dict[str, Any]

OPEN, CLOSE = "08:00", "17:00"

UNITS: list[Row] = [
    {
        "id": "alder",
        "name": "Alder",
        "channels": [
            {"id": "u1", "drives": ["ultrasound"]},
            {"id": "s1", "drives": ["pads"]},
            {"id": "s2", "drives": ["pads"]},
        ],
        "patients_at_once": 2,
        "places": ["garden"],
    },
    {
        # The one that is wheeled about. Its channels overlap in what they drive: cups on s1 only.
        "id": "birch",
        "name": "Birch",
        "channels": [
            {"id": "u1", "drives": ["ultrasound"]},
            {"id": "s1", "drives": ["pads", "cups"]},
            {"id": "s2", "drives": ["pads"]},
            {"id": "s3", "drives": ["pads"]},
        ],
        "patients_at_once": 3,
        "places": ["garden", "river"],
        "battery": {
            "capacity_wh": 150,
            "start_pct": 90,
            "reserve_pct": 20,
            "standby_w": 7,
            "draw_w": {"ultrasound": 22, "pads": 10, "cups": 12},
            "pump_w": 16,
            "charge_w": 45,
        },
    },
    {
        # An old battery, not full in the morning: this one decides how many visits in a row are possible.
        "id": "cedar",
        "name": "Cedar",
        "channels": [
            {"id": "s1", "drives": ["pads", "cups"]},
            {"id": "s2", "drives": ["pads", "cups"]},
            {"id": "s3", "drives": ["cups"]},
        ],
        "patients_at_once": 2,
        "places": ["river"],
        "hours": [["08:00", "12:15"], ["13:00", "17:00"]],
        "battery": {
            "capacity_wh": 60,
            "start_pct": 55,
            "reserve_pct": 25,
            "standby_w": 8,
            "draw_w": {"pads": 11, "cups": 14},
            "pump_w": 18,
            "charge_w": 26,
            "min_charge_min": 20,
        },
    },
    {
        "id": "dogwood",
        "name": "Dogwood",
        "channels": [
            {"id": "u1", "drives": ["ultrasound"]},
            {"id": "u2", "drives": ["ultrasound", "pads"]},
            {"id": "s1", "drives": ["pads"]},
        ],
        "patients_at_once": 2,
        "places": ["loft"],
        "battery": {
            "capacity_wh": 110,
            "reserve_pct": 20,
            "standby_w": 6,
            "draw_w": {"ultrasound": 24, "pads": 10},
            "charge_w": 40,
            "min_charge_min": 10,
        },
    },
]

APPLICATORS: list[Row] = [
    {"id": "heads", "name": "Sound heads", "items": ["head-1", "head-2", "head-3"], "turnaround_min": 10},
    {
        "id": "small-heads",
        "name": "Small sound head",
        "items": ["small-head-1"],
        "fits": ["alder", "dogwood"],
        "turnaround_min": 15,
    },
    {"id": "pad-sets", "name": "Pad sets", "items": [f"pads-{n}" for n in range(1, 7)], "turnaround_min": 10},
    {
        "id": "cup-sets",
        "name": "Cup sets",
        "items": ["cups-1", "cups-2", "cups-3"],
        "fits": ["birch", "cedar"],
        "turnaround_min": 20,
    },
]

PLACES: list[Row] = [
    {"id": "garden", "name": "Garden room", "bays": ["G1", "G2", "G3"], "tags": ["step-free"]},
    {"id": "river", "name": "River room", "bays": ["R1", "R2", "R3"], "tags": ["step-free", "wide door"]},
    {"id": "loft", "name": "Loft", "bays": ["L1", "L2"], "tags": ["quiet"]},
]

STAFF: list[Row] = [
    {
        "id": "noor",
        "name": "Noor Halvorsen",
        "kind": "therapist",
        "skills": ["ultrasound", "suction"],
        "hours": [["08:00", "15:30"]],
        "breaks": [{"min": 15, "between": ["10:00", "11:00"]}, {"min": 45, "between": ["12:00", "13:00"]}],
        "watch_free": 3,
        "watch_busy": 1,
    },
    {
        "id": "tomasz",
        "name": "Tomasz Okeke",
        "kind": "therapist",
        "skills": ["ultrasound"],
        "hours": [["08:00", "14:00"], ["14:30", "17:00"]],
        "breaks": [{"min": 30, "between": ["11:00", "13:00"]}],
        "watch_free": 3,
        "watch_busy": 1,
    },
    {
        "id": "leilani",
        "name": "Leilani Duarte",
        "kind": "therapist",
        "skills": ["ultrasound", "suction"],
        "hours": [["08:30", "12:00"], ["13:00", "17:00"]],
        "breaks": [{"min": 15, "between": ["13:30", "15:00"]}],
        "watch_free": 3,
        "watch_busy": 1,
    },
    {
        "id": "ilse",
        "name": "Ilse Yamadera",
        "kind": "assistant",
        "hours": [["08:00", "14:30"]],
        "breaks": [{"min": 30, "between": ["11:00", "13:30"]}],
        "watch_free": 4,
        "watch_busy": 2,
    },
    {
        "id": "kwabena",
        "name": "Kwabena Lund",
        "kind": "assistant",
        "hours": [["09:00", "17:00"]],
        "breaks": [{"min": 30, "between": ["12:00", "14:30"]}, {"min": 10, "between": ["14:30", "15:30"]}],
        "watch_free": 4,
        "watch_busy": 2,
    },
]
