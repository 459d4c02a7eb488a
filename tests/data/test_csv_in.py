"""Patients and staff from CSV: previewed, then brought in exactly so, or not at all. All people are invented."""

import pytest
from sqlmodel import select

from app.db.store import Store
from app.errors import StaleRecordError
from app.models import Audit, StaffVersion, WeeklyHours
from app.services.csv_in.patients import bring_in_patients, preview_patients
from app.services.csv_in.staff import BringInStaff, preview_staff
from app.services.patients import change_patient, find_patients, make_patient
from app.services.setup.changing import save_change
from solver.errors import InputError

STAFF = b"""code;name;kind;skills;watch free;watch busy;monday;tuesday
T1;Ann Invented;Therapist;laser|taping;4;2;09:00-12:00 13:00-17:00;
A1;Bo Invented;assistant;;6;;08:00-12:00;08:00-12:00
"""


def test_patients_are_previewed_and_brought_in(store: Store) -> None:
    ann = make_patient(store, "Ann Invented", phone="555 0100", actor="test")
    make_patient(store, "Bo Invented", actor="test")
    content = f"name,code,note\nAnn Renamed,{ann.code},=1+1\nCy Invented,,\nbo INVENTED,,\nDi Invented,K9,\n".encode()
    preview = preview_patients(store, content)
    assert [row.state for row in preview.rows] == ["changed", "new", "same name", "new"]
    assert preview.rows[0].changes == {"name": ("Ann Invented", "Ann Renamed"), "note": ("", "=1+1")}
    bring_in_patients(store, content, digest=preview.digest, actor="test")
    kept = {line.name: (line.code, line.phone, line.note) for line in find_patients(store, "")}
    assert kept["Ann Renamed"] == (ann.code, "555 0100", "=1+1")
    assert (kept["Di Invented"][0], len(kept), len(kept["Cy Invented"][0])) == ("K9", 4, 6)
    assert [row.state for row in preview_patients(store, content).rows] == ["same", "same name", "same name", "same"]
    with store.reading() as session:
        assert session.exec(select(Audit)).all()[-1].after == {"new": 2, "changed": 1}


def test_faults_are_told_by_line_and_nothing_is_brought_in(store: Store) -> None:
    content = b"name,code\nAnn,K1\n,K2\nBo,K1\nCy\nCY,\nDi,,x\n"
    preview = preview_patients(store, content)
    assert [str(fault) for fault in preview.faults] == [
        "line 7: there are 3 cells for 2 columns; put texts with a delimiter in quotes",
        "line 3, name: nothing stands here; give the patient's name",
        "line 4, code: the same is on line 2; take one of the two out",
        "line 6, name: the same is on line 5; take one of the two out, or give each a code of its own",
    ]
    with pytest.raises(InputError):
        bring_in_patients(store, content, digest=preview.digest, actor="test")
    assert find_patients(store, "") == []


def test_what_was_not_previewed_is_not_brought_in(store: Store) -> None:
    ann = make_patient(store, "Ann Invented", actor="test")
    content = f"name,code\nAnn Renamed,{ann.code}\n".encode()
    digest = preview_patients(store, content).digest
    with pytest.raises(StaleRecordError):
        bring_in_patients(store, content + b"Bo,\n", digest=digest, actor="test")
    change_patient(store, ann.id, "Ann Other", read=1, actor="test")
    with pytest.raises(StaleRecordError):
        bring_in_patients(store, content, digest=digest, actor="test")
    assert [line.name for line in find_patients(store, "")] == ["Ann Other"]


def test_staff_are_brought_in_with_their_week(store: Store) -> None:
    save_change(store, BringInStaff(content=STAFF, digest=preview_staff(store, STAFF).digest), actor="test")
    with store.reading() as session:
        ann, bo = session.exec(select(StaffVersion).order_by(StaffVersion.id)).all()  # type: ignore[arg-type]
        week = [(row.weekday, row.start_min, row.end_min) for row in session.exec(select(WeeklyHours))]
    assert (ann.name, ann.kind, ann.skills, ann.watch_free, ann.watch_busy) == (
        "Ann Invented",
        "therapist",
        ["laser", "taping"],
        4,
        2,
    )
    assert bo.watch_busy == 0
    assert sorted(week) == [(0, 480, 720), (0, 540, 720), (0, 780, 1020), (1, 480, 720)]
    assert [row.state for row in preview_staff(store, STAFF).rows] == ["same", "same"]
    changed = b"code,name,kind\nT1,Ann Renamed,\n"
    preview = preview_staff(store, changed)
    assert preview.rows[0].changes == {"name": ("Ann Invented", "Ann Renamed")}
    save_change(store, BringInStaff(content=changed, digest=preview.digest), actor="test")
    with store.reading() as session:
        assert len(session.exec(select(WeeklyHours)).all()) == 4
        assert len(session.exec(select(StaffVersion)).all()) == 3


def test_each_mistake_in_a_staff_file_is_named(store: Store) -> None:
    content = (
        b"code,name,kind,watch free,watch busy,monday\n,,boss,1,2,9-12\nT1,Ann,therapist,x,0,09:00-12:00 11:00-13:00\n"
    )
    wrong = [fault.where for fault in preview_staff(store, content).faults]
    assert wrong == [
        *(f"line 2, {column}" for column in ("code", "name", "kind", "watch busy", "monday")),
        *(f"line 3, {column}" for column in ("watch free", "monday")),
    ]
