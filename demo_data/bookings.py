"""Who comes to the demo clinic on the day, and what they were told yesterday. Every patient is invented.

One line a visit: id, patient, treatment, and what is asked for besides.
"""

from typing import Any

from demo_data.treatments import Treatment, combined, cups, cups_and_pads, guided, on, pads, sound, then

Row = dict[str, Any]


def _visit(number: int, patient: str, treatment: Treatment, wish: str | None = None, **asked: Any) -> Row:
    return {"id": f"V{number:02d}", "patient": patient, "wish": wish, **asked, "parts": treatment}


MORNING = [["08:00", "12:00"]]
AFTERNOON = [["13:00", "17:00"]]
BEFORE_WORK = [["08:00", "09:15"]]
LATE = [["15:15", "17:00"]]

VISITS: list[Row] = [
    # Before work: many want eight o'clock, and there is one small sound head.
    _visit(1, "Ada K.", sound(12, head="small-heads"), "08:00", free=[["08:00", "08:35"]], priority=3),
    _visit(2, "Bo Lindqvist", pads(35), "08:00", free=BEFORE_WORK),
    _visit(3, "Chidi M.", combined(16), "08:00", free=BEFORE_WORK, therapist_wish="noor"),
    _visit(4, "Dunja P.", cups(25, 20), "08:00", free=BEFORE_WORK, priority=2),
    _visit(5, "Eskil R.", then(sound(14), pads(35), max_wait=10), "08:00", therapist_wish="tomasz"),
    _visit(6, "Farah S.", pads(30, regions=2), "08:15", free=MORNING, place_tags=["step-free"]),
    _visit(7, "Goro T.", sound(11), "08:30", free=MORNING),
    _visit(8, "Hana V.", cups(22, 30), "08:30", free=MORNING, therapist_must="noor"),
    _visit(9, "Imre W.", guided(22), "08:45", free=MORNING),
    # The morning.
    _visit(10, "Jonna A.", then(sound(13), cups(22, 20), max_wait=20), "09:00", same_unit=False),
    _visit(11, "Kofi B.", pads(40), "09:15", place_tags=["quiet"]),
    _visit(12, "Lior C.", combined(14), "09:30", free=[["09:00", "11:00"], ["13:00", "15:00"]]),
    _visit(13, "Mina D.", cups(25, 30, sets=2), "09:30", free=MORNING, priority=2),
    _visit(14, "Nils E.", pads(35, set_up="therapist"), "09:45", therapist_wish="leilani"),
    _visit(15, "Oona F.", sound(14), "10:00", place_tags=["quiet"], therapist_wish="tomasz"),
    _visit(16, "Pavel G.", then(pads(30), sound(12), max_wait=15), "10:00", free=MORNING),
    _visit(17, "Quirin H.", cups_and_pads(25, 20), "10:15", free=[["09:30", "12:00"]], priority=2),
    _visit(18, "Rosa I.", pads(35), "10:30"),
    _visit(19, "Sami J.", sound(12), "10:30", priority=3, fixed={"parts": [{"start": "10:30"}]}),
    _visit(20, "Tilda K.", on(["birch", "cedar"], pads(35, regions=2)), "11:00", place_tags=["wide door"]),
    _visit(21, "Ada K.", pads(30), "11:00", free=[["10:30", "12:30"]]),
    _visit(22, "Umar L.", guided(20), "11:15"),
    # Noon. Both therapists with suction skill are away for most of it: nobody can see Vera N. in her lunch hour.
    _visit(23, "Vera N.", cups(25, 20), "12:15", free=[["12:10", "12:55"]], priority=2),
    _visit(24, "Wanda O.", sound(13), "12:15", free=[["12:00", "13:15"]]),
    _visit(25, "Xenia P.", pads(35), "12:15", free=[["11:45", "13:15"]]),
    _visit(26, "Yusuf Q.", pads(40, regions=2), "12:45", free=[["11:30", "14:30"]]),
    # The afternoon.
    _visit(27, "Zoltan R.", cups(25, 20), "13:15", free=AFTERNOON, therapist_must="leilani"),
    _visit(28, "Alma S.", combined(16), "13:30", therapist_wish="noor", priority=2),
    _visit(29, "Benat T.", then(sound(14), pads(30), max_wait=5), "13:45", free=AFTERNOON),
    _visit(30, "Cleo U.", cups(20, 30), "14:30", free=AFTERNOON, place_tags=["wide door"]),
    _visit(31, "Dov W.", pads(35), "15:00"),
    _visit(32, "Elif X.", then(cups(22, 20), sound(12), max_wait=25), "14:15", same_unit=False),
    _visit(33, "Fenja Y.", sound(12, head="small-heads"), "15:00", therapist_must="noor"),
    _visit(34, "Goro T.", pads(35), "15:00", free=AFTERNOON),
    _visit(35, "Hilde Z.", cups_and_pads(22, 30), "14:45", free=AFTERNOON),
    _visit(36, "Ivo A.", guided(25), "15:15"),
    # Late: everybody wants the last two hours, and Noor has gone home by half past three.
    _visit(37, "Jamal B.", combined(14), "15:30", free=LATE, therapist_wish="leilani"),
    _visit(38, "Kaisa C.", cups(25, 20), "15:30", free=LATE, priority=2),
    _visit(39, "Levi D.", then(sound(12), pads(35), max_wait=10), "15:45", free=LATE),
    _visit(40, "Maud E.", pads(35), "16:15", free=LATE),
    _visit(41, "Nadia F.", cups(22, 20), "16:15", free=LATE, priority=3),
    _visit(42, "Otto G.", sound(14), "16:15", free=LATE, therapist_wish="tomasz"),
]

# Promised to the letter: what may not change of a visit.
FIXED: dict[str, Row] = {
    "V13": {"therapist": "noor"},
    "V26": {
        "parts": [
            {
                "start": "12:40",
                "unit": "dogwood",
                "place": "loft",
                "bay": "L1",
                "channels": {"pads": ["u2", "s1"]},
                "items": {"pad-sets": ["pads-1", "pads-2"]},
            }
        ]
    },
    "V29": {"therapist": "leilani", "parts": [{"start": "13:45", "unit": "alder"}]},
}

# Told yesterday, before Cedar's hour out of service was known: visit, therapist, and each part's start, unit, bay.
TOLD: list[tuple[str, str | None, list[tuple[str, str, str]]]] = [
    ("V03", "noor", [("08:10", "birch", "G1")]),
    ("V07", "tomasz", [("08:35", "alder", "G2")]),
    ("V10", "leilani", [("09:00", "alder", "G2"), ("09:20", "cedar", "R1")]),
    ("V15", "tomasz", [("10:00", "dogwood", "L1")]),
    ("V19", "noor", [("10:30", "alder", "G3")]),
    ("V20", None, [("12:05", "cedar", "R2")]),
    ("V26", None, [("12:40", "dogwood", "L1")]),
    ("V28", "noor", [("13:30", "alder", "G1")]),
    ("V29", "leilani", [("13:45", "alder", "G2"), ("14:00", "alder", "G2")]),
    ("V33", "noor", [("14:55", "dogwood", "L2")]),
    ("V38", "leilani", [("15:35", "cedar", "R1")]),
    ("V42", "tomasz", [("16:25", "dogwood", "L1")]),
]
