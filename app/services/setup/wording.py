"""What the texts of the set-up's forms may hold: letters that show, and not too many of them."""

from collections.abc import Iterable

from app.services.setup.forms import ApplicatorForm, MemberForm, PlaceForm, ThingForm, UnitForm
from app.services.setup.texts import listed
from solver.errors import Fault

LONGEST_CODE = 60
LONGEST_TEXT = 200


def code_faults(code: str) -> list[Fault]:
    if not code.strip():
        return [Fault("code", "the code is empty", "give a short code, such as U1")]
    if code != code.strip():
        return [Fault("code", "it has spaces around it", "give a short code, such as U1")]
    return _faults("code", code, LONGEST_CODE)


def text_faults(field: str, text: str) -> list[Fault]:
    """Of a name, a reason, a note."""
    return _faults(field, text.strip(), LONGEST_TEXT)


def word_faults(form: ThingForm) -> list[Fault]:
    """Of every text of the form that is kept as it is typed: its code, its name, and what it lists."""
    faults = [*code_faults(form.code), *text_faults("name", form.name)]
    for field, words in _lists(form):
        faults += next((found for word in words if (found := _faults(field, word, LONGEST_CODE))), [])
    return faults


def _lists(form: ThingForm) -> Iterable[tuple[str, list[str]]]:
    match form:
        case PlaceForm():
            yield from (("bays", listed(form.bays)), ("tags", listed(form.tags)))
        case ApplicatorForm():
            yield "items", listed(form.items)
        case MemberForm():
            yield "skills", listed(form.skills)
        case UnitForm():
            yield from ((f"channel_id[{i}]", [id.strip()]) for i, id in enumerate(form.channel_id))
            yield from ((f"channel_drives[{i}]", listed(drives)) for i, drives in enumerate(form.channel_drives))


def _faults(field: str, text: str, longest: int) -> list[Fault]:
    if len(text) > longest:
        return [Fault(field, f"{text[:20]}… has {len(text)} letters", f"give at most {longest}")]
    if not text.isprintable():
        return [Fault(field, "it holds what cannot be shown, such as a line break", "give letters, digits and signs")]
    return []
