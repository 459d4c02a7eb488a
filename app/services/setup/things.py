"""Changes of places, units, applicators and staff: make, change, retire, bring back."""

from dataclasses import asdict, dataclass
from typing import Any

from app.queries.set_up_reading import Kind, SetUp, Thing
from app.queries.set_up_writing import head_of, put_current, put_hours
from app.services.setup.filled import thing_form
from app.services.setup.forms import MemberForm, ThingForm
from app.services.setup.judging import faults_beside, judged, kind_of
from app.services.setup.work import Made, Work, differing
from solver.errors import Fault, InputError, refuse_if


@dataclass(frozen=True, slots=True, kw_only=True)
class SaveThing:
    """Make the thing of the form (``read`` None), or change it; its code stays. ``read``: the version that was read."""

    form: ThingForm
    read: int | None

    def make(self, work: Work) -> Made:
        kind, code = kind_of(self.form), self.form.code
        known = work.set_up.thing(kind, code) if self.read is None else work.thing(kind, code, self.read)
        if self.read is None and known is not None:
            what = f"the code {code!r} is taken" + (" by one that is retired" if known.is_retired else "")
            raise InputError([Fault("code", what, "give another code, or change that one")])
        given = judged(self.form, work.set_up)
        row = put_current(work.session, work.clinic_id, kind, given.thing, given.document)
        assert row.id is not None
        if isinstance(self.form, MemberForm):
            put_hours(work.session, row.id, given.hours, given.breaks)
        old = {} if known is None else asdict(thing_form(work.set_up, kind, known))
        now = work.now()
        new = next(thing for thing in now.things[kind] if thing.id == row.id)
        action = "made" if known is None else "changed"
        made = differing(f"{kind} {code}", action, 0, old, asdict(thing_form(now, kind, new)))
        return _numbered(work, kind, row.id, made, row.set_up_version)


@dataclass(frozen=True, slots=True, kw_only=True)
class Retire:
    """The thing is not in use any more; past days keep it."""

    kind: Kind
    code: str
    read: int

    def make(self, work: Work) -> Made:
        thing = work.thing(self.kind, self.code, self.read)
        refuse_if(_still_named(work.set_up, self.kind, self.code))
        return _set_retired(work, self.kind, thing, True, "retired")


@dataclass(frozen=True, slots=True, kw_only=True)
class BringBack:
    """A retired thing is in use again, as it was last."""

    kind: Kind
    code: str
    read: int

    def make(self, work: Work) -> Made:
        thing = work.thing(self.kind, self.code, self.read)
        extra: dict[str, Any] = {"hours": []} if self.kind == "staff" else {}
        faults = faults_beside(self.kind, {**thing.document, **extra}, work.set_up)
        refuse_if([Fault("code", f"{fault.where}: {fault.what}", fault.right) for fault in faults])
        return _set_retired(work, self.kind, thing, False, "brought back")


def _set_retired(work: Work, kind: Kind, thing: Thing, is_retired: bool, action: str) -> Made:
    made = differing(f"{kind} {thing.code}", action, 0, {"is_retired": thing.is_retired}, {"is_retired": is_retired})
    row = head_of(work.session, kind, thing.id)
    row.is_retired = is_retired
    work.session.add(row)
    return _numbered(work, kind, thing.id, made, thing.version)


def _numbered(work: Work, kind: Kind, id: int, made: Made, version: int) -> Made:
    """With the version that the thing has now; it goes up where anything was changed."""
    if not made.is_nothing:
        version = work.next_version(kind, id).set_up_version
    return Made(made.record, made.action, version, made.before, made.after)


def _still_named(set_up: SetUp, kind: Kind, code: str) -> list[Fault]:
    """Things in use that name the one that is to be retired."""
    if kind == "place":
        named = [unit for unit in set_up.in_use("unit") if code in unit.document["places"]]
        right = "take it off that unit's places first"
        return [Fault("code", f"unit {unit.code} may stand at {code}", right) for unit in named]
    if kind == "unit":
        named = [pool for pool in set_up.in_use("applicator") if code in pool.document.get("fits", ())]
        right = "take it off the units that this applicator fits first"
        return [Fault("code", f"applicator {pool.code} is said to fit {code}", right) for pool in named]
    return []
