"""Staff from CSV: ``code``, ``name``, ``kind``, and where they are given ``skills``, ``watch free``, ``watch busy`` and
a column for each weekday, with hours such as ``09:00-12:00 13:00-17:00``.

A row with the code of a known member changes what it gives and leaves what it leaves empty; a file with any weekday
column gives the whole week of each of its members, an empty cell being a free day. Skills have ``|`` between them.
"""

import re
from dataclasses import dataclass

from app.db.store import Store
from app.queries.clinics import the_clinic
from app.queries.set_up_reading import SetUp, Thing, set_up_of
from app.services.csv_in.preview import Preview, PreviewRow, State, digest_of_preview, refuse_if_other
from app.services.csv_in.reading import CsvRow, read_csv
from app.services.setup.filled import thing_form
from app.services.setup.forms import NO_DAYS, MemberForm
from app.services.setup.texts import as_list, listed
from app.services.setup.things import SaveThing
from app.services.setup.work import Made, Work
from app.services.treatments.form import as_number, read_text
from solver.clock import Interval, overlapping, parse_clock
from solver.errors import Fault
from solver.reading.faults import Faults

WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
COLUMNS = ("code", "name", "kind", "skills", "watch free", "watch busy", *WEEKDAYS)
_OF_VERSION = COLUMNS[1:6]
_SPAN = re.compile(r"([0-9:]+)\s*[-–]\s*([0-9:]+)")


def preview_staff(store: Store, content: bytes) -> Preview:
    """Raises InputError where the file cannot be read at all."""
    with store.reading() as session:
        return _preview(set_up_of(session, the_clinic(session)), content)


@dataclass(frozen=True, slots=True, kw_only=True)
class BringInStaff:
    """Exactly what was previewed with this digest, or nothing, as a change of the set-up.

    ``make`` raises InputError with the file's faults, and StaleRecordError where the file or the staff are others now.
    """

    content: bytes
    digest: str

    def make(self, work: Work) -> Made:
        preview = _preview(work.set_up, self.content)
        refuse_if_other(preview, self.digest)
        for row in preview.rows:
            if row.state != "same":
                thing = work.set_up.thing("staff", row.values["code"])
                read = None if thing is None else thing.version
                breaks = NO_DAYS if thing is None else _form(work.set_up, thing).breaks
                SaveThing(form=_member(row.values, breaks), read=read).make(work)
        counts = {"new": preview.count("new"), "changed": preview.count("changed")}
        return Made("staff from CSV", "brought in", 0, {}, counts if any(counts.values()) else {})


def _preview(set_up: SetUp, content: bytes) -> Preview:
    table = read_csv(content, COLUMNS, ("code", "name", "kind"))
    known = {thing.code: thing for thing in set_up.things["staff"]}
    gives_week = any(day in table.columns for day in WEEKDAYS)
    faults, rows = list(table.faults), []
    lines: dict[str, int] = {}
    for row in table.rows:
        code = row.cells["code"]
        there = known.get(code)
        was = None if there is None else _values(_form(set_up, there))
        values = {column: row.cells.get(column, "") for column in COLUMNS}
        if was is not None:
            kept = [*_OF_VERSION, *(() if gives_week else WEEKDAYS)]
            values |= {column: values[column] or was[column] for column in kept}
        values = _plain(values)
        wrong = _faults_of(row, values)
        if code in lines:
            wrong.append(
                Fault(f"line {row.line}, code", f"the same is on line {lines[code]}", "take one of the two out")
            )
        lines.setdefault(code, row.line)
        if there is not None and there.is_retired:
            wrong.append(Fault(f"line {row.line}, code", "this member is retired", "bring them back first"))
        faults += wrong
        changes = {key: (was[key], values[key]) for key in COLUMNS if was and was[key] != values[key]}
        state: State = "new" if was is None else "changed" if changes else "same"
        rows.append(PreviewRow(row.line, state, values, changes))
    shown = tuple(rows)
    return Preview(table.encoding, table.delimiter, shown, tuple(faults), digest_of_preview(content, shown))


def _form(set_up: SetUp, thing: Thing) -> MemberForm:
    form = thing_form(set_up, "staff", thing)
    assert isinstance(form, MemberForm)
    return form


def _values(form: MemberForm) -> dict[str, str]:
    return {
        "code": form.code,
        "name": form.name,
        "kind": form.kind,
        "skills": "|".join(listed(form.skills)),
        "watch free": form.watch_free,
        "watch busy": form.watch_busy,
        **{day: " ".join(listed(hours)) for day, hours in zip(WEEKDAYS, form.hours, strict=True)},
    }


def _plain(values: dict[str, str]) -> dict[str, str]:
    """The same said in one way, so that what is alike is found to be."""
    plain = {**values, "kind": values["kind"].lower(), "skills": "|".join(_skills(values["skills"]))}
    for column in ("watch free", "watch busy"):
        plain[column] = values[column] or "0"
    for day in WEEKDAYS:
        hours = _hours(values[day])
        plain[day] = values[day] if hours is None else _as_text(hours)
    return plain


def _faults_of(row: CsvRow, values: dict[str, str]) -> list[Fault]:
    where, faults = f"line {row.line}", Faults()
    read_text(faults, f"{where}, code", values["code"], needed="a code, such as T1")
    read_text(faults, f"{where}, name", values["name"], needed="the member's name")
    read_text(faults, f"{where}, skills", values["skills"])
    if values["kind"] not in ("therapist", "assistant"):
        faults.add(f"{where}, kind", f"{values['kind'][:40]!r} stands here", "give therapist or assistant")
    counts = {column: as_number(values[column]) for column in ("watch free", "watch busy")}
    for column, count in counts.items():
        if not isinstance(count, int) or not 0 <= count <= 100:
            faults.add(
                f"{where}, {column}", f"{values[column][:40]!r} stands here", "give a whole number from 0 to 100"
            )
    free, busy = counts.values()
    if isinstance(free, int) and isinstance(busy, int) and busy > free:
        faults.add(f"{where}, watch busy", f"{busy} is more than with free hands, {free}", f"give at most {free}")
    for day in WEEKDAYS:
        hours = _hours(values[day])
        if hours is None:
            right = "give hours such as 09:00-12:00 13:00-17:00, or nothing"
            faults.add(f"{where}, {day}", f"{values[day][:40]!r} stands here", right)
        elif overlapping(hours):
            faults.add(f"{where}, {day}", "two of the intervals overlap", "let one end before the next begins")
    return faults.found


def _hours(text: str) -> list[Interval] | None:
    """The intervals of a cell, in order; None where it says something else."""
    if _SPAN.sub("", text).strip(" ,"):
        return None
    spans = [(parse_clock(start), parse_clock(end)) for start, end in _SPAN.findall(text)]
    hours = [Interval(start, end) for start, end in spans if start is not None and end is not None and end > start]
    return sorted(hours) if len(hours) == len(spans) else None


def _as_text(hours: list[Interval]) -> str:
    return " ".join(str(interval).replace("–", "-") for interval in hours)


def _skills(text: str) -> list[str]:
    return list(dict.fromkeys(skill.strip() for skill in text.split("|") if skill.strip()))


def _member(values: dict[str, str], breaks: tuple[str, ...]) -> MemberForm:
    return MemberForm(
        code=values["code"],
        name=values["name"],
        kind=values["kind"],
        skills=as_list(_skills(values["skills"])),
        watch_free=values["watch free"],
        watch_busy=values["watch busy"],
        hours=tuple(as_list(values[day].split()) for day in WEEKDAYS),
        breaks=breaks,
    )
