"""The cautions the product shows. They ask; the clinician decides. Nothing here is computed from a patient."""

from dataclasses import dataclass

RAND = "Rand and others 2007, Am Fam Physician 76(11):1661–1666"
ONTARIO = "College of Physiotherapists of Ontario, 2022"

CLINIC = (
    "Channelday schedules and records. It decides nothing clinical.",
    "Settings and minutes come from the prescribing clinician and the maker’s instructions.",
    "Local codes and licensed practice stand above anything shown here.",
    f"A patient who is left unattended has a call bell in reach (source: {ONTARIO}).",
    "Figures for batteries and cleaning are the clinic’s own.",
)

UNATTENDED = f"Call bell in the patient’s reach before hands leave? (source: {ONTARIO})"

_ULTRASOUND = (
    "Is there a malignant tumour near the area?",
    "Was a laminectomy done here, so that nerve tissue lies open?",
    "Is there a joint replacement or a breast implant near?",
    "Does the patient have a permanent pacemaker?",
    "Is there thrombophlebitis, or an acute inflammation?",
    "Are eyes, reproductive organs or growth plates near?",
)
_STIMULATION = (
    "Does the patient have a cardiac pacemaker or a known arrhythmia?",
    "Is there a thrombosis or thrombophlebitis?",
    "Is the patient pregnant, and the area on abdomen or pelvis?",
    "With caution: is there heart disease, a malignant tumour or an open wound?",
    "With caution: is feeling, alertness or the ability to speak up reduced?",
)
_BY_OUTPUT = {"ultrasound": _ULTRASOUND, "pads": _STIMULATION, "cups": _STIMULATION}


@dataclass(frozen=True, slots=True)
class Questions:
    """What to ask before these outputs run. ``source`` is empty where the product knows no list for them."""

    outputs: str
    asked: tuple[str, ...]
    source: str


def questions(outputs: tuple[str, ...]) -> tuple[Questions, ...]:
    """The questions for a part's outputs, each list once."""
    grouped: dict[tuple[str, ...], list[str]] = {}
    for output in outputs:
        grouped.setdefault(_BY_OUTPUT.get(output, ()), []).append(output)
    unlisted = ("No list is on file: ask as the clinic’s own rules say.",)
    return tuple(
        Questions(" and ".join(names), asked or unlisted, RAND if asked else "") for asked, names in grouped.items()
    )
