"""The form of a treatment, part by part, with suggestions and their sources beside the fields."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from app.views.cautions import Questions, questions
from app.views.forms import Field, Group, Option, Row, choice

EMPTY_PHASES = 2
_NO_PHASE: Mapping[str, Any] = {"min": "", "hands": "", "running": True}
MOST_PARTS, MOST_PHASES = 12, 20
_HANDS = (
    ("", "no such phase"),
    ("therapist", "a therapist’s hands"),
    ("anyone", "anyone’s hands"),
    ("nobody", "nobody’s hands"),
)
_RUNNING = (("yes", "output running"), ("", "not running"))
Document = Mapping[str, Any]
Suggest = Mapping[str, Sequence[tuple[str, str, str]]]
"""By field: what is suggested for which output, and its source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Offered:
    """What the fields offer to choose from, and texts that are in use already."""

    units: Mapping[str, str]
    applicators: Mapping[str, str]
    skills: Sequence[str]
    texts: Mapping[str, Sequence[str]]
    suggest: Suggest


@dataclass(frozen=True, slots=True)
class TreatmentGroups:
    """``parts``: one tuple of groups for each part. ``questions``: what to ask before its outputs run."""

    head: Group
    parts: tuple[tuple[Group, ...], ...]
    questions: tuple[Questions, ...]


def treatment_groups(form: Document, faults: Mapping[str, str], offered: Offered) -> TreatmentGroups:
    """``form``: a document of texts; ``faults`` by its places, such as ``parts[0].phases[1].min``."""
    same = choice((("yes", "on one unit, in one stay"), ("", "on any units")), ("yes" if form["same_unit"] else "",))
    head = Group(
        title="The treatment",
        fields=(
            Field(name="name", label="Name", value=form["name"], fault=faults.get("name", "")),
            Field(
                name="body_site",
                label="Body site",
                value=form["body_site"],
                help="What it is found by, such as shoulder. May stay empty.",
                fault=faults.get("body_site", ""),
                suggested=tuple(offered.texts.get("body_site", ())),
            ),
            Field(
                name="same_unit",
                label="Its parts are given",
                kind="choice",
                options=same,
                fault=faults.get("same_unit", ""),
            ),
        ),
    )
    parts = tuple(_part(part, i, faults, offered) for i, part in enumerate(form["parts"]))
    outputs = dict.fromkeys(output for part in form["parts"] for output in part.get("channels", ()))
    return TreatmentGroups(head, parts, questions(tuple(outputs)) if outputs else ())


def _part(part: Document, number: int, faults: Mapping[str, str], offered: Offered) -> tuple[Group, ...]:
    at = f"parts[{number}]"
    outputs = tuple(part.get("channels", ()))

    def text(key: str, label: str, help: str = "", **more: Any) -> Field:
        value = str(part.get(key) or "")
        suggested = tuple(offered.texts.get(key, ()))
        return Field(
            name=f"{at}.{key}",
            label=label,
            value=value,
            help=" ".join(filter(None, (help, _suggested(key, outputs, offered)))),
            fault=faults.get(f"{at}.{key}", ""),
            suggested=suggested,
            **more,
        )

    def counts(key: str, label: str, help: str) -> Field:
        value = ", ".join(f"{name} {count}".strip() for name, count in part.get(key, {}).items())
        inner = [fault for where, fault in faults.items() if where == f"{at}.{key}" or where.startswith(f"{at}.{key}.")]
        return Field(name=f"{at}.{key}", label=label, value=value, help=help, fault=" ".join(inner))

    units = tuple(
        Option(value=code, text=name, chosen=code in (part.get("units") or ())) for code, name in offered.units.items()
    )
    steps = "\n".join(part.get("preparation") or ())
    channels = " ".join(
        filter(
            None, ("How many for each output, such as ultrasound 1, pads 2.", _suggested("channels", outputs, offered))
        )
    )
    return (
        Group(
            title=f"Part {number + 1}",
            fields=(
                text("id", "Name of the part", "Such as ultrasound, or pads."),
                counts("channels", "Channels", channels),
                counts("applicators", "Applicators", f"Codes and how many, such as {_codes(offered.applicators)}."),
                text(
                    "suction_kpa",
                    "Suction level, kPa",
                    "Where the unit’s pump holds cups; else empty.",
                    kind="number",
                ),
                text("skill", "Skill of the therapist", "Empty: every therapist may."),
                Field(
                    name=f"{at}.units",
                    label="Units that may do it",
                    kind="checks",
                    options=units,
                    help="None ticked: all that can.",
                    fault=faults.get(f"{at}.units", ""),
                ),
                text("max_wait_min", "Longest wait after the part before, minutes", "Empty: no limit.", kind="number"),
            ),
        ),
        Group(
            title=f"Part {number + 1}: phases",
            help=" ".join(
                filter(
                    None,
                    (
                        "Without a gap between. Minutes are what the clinician prescribes.",
                        _suggested("phases", outputs, offered),
                    ),
                )
            ),
            heads=("", "Minutes", "Hands", "Output"),
            rows=tuple(_phases(part, at, faults)),
        ),
        Group(
            title=f"Part {number + 1}: settings as prescribed",
            help="Recorded and shown before it starts. Channelday sets no machine and judges no setting.",
            fields=(
                text("mode", "Mode"),
                text("duty", "Duty", "Such as 1:4; empty where there is none."),
                text("intensity_low", "Intensity from"),
                text("intensity_high", "Intensity to"),
                text("intensity_unit", "Unit of intensity", "Such as W/cm² or mA."),
                text("placement", "Site and placement"),
                Field(
                    name=f"{at}.preparation",
                    label="Preparation",
                    kind="long",
                    value=steps,
                    help=" ".join(filter(None, ("One step a line.", _suggested("preparation", outputs, offered)))),
                    fault=" ".join(fault for where, fault in faults.items() if where.startswith(f"{at}.preparation")),
                ),
            ),
        ),
    )


def _phases(part: Document, at: str, faults: Mapping[str, str]) -> Iterable[Row]:
    given = list(part.get("phases", ()))
    count = min(MOST_PHASES, len(given) + EMPTY_PHASES)
    for i in range(count):
        phase = given[i] if i < len(given) else _NO_PHASE
        where = f"{at}.phases[{i}]"
        label = f"phase {i + 1} of {at}"
        wrong = faults.get(f"{where}.min", "") or (faults.get(f"{at}.phases", "") if i == 0 else "")
        yield Row(
            label=f"Phase {i + 1}",
            fields=(
                Field(
                    name=f"{where}.min",
                    label=f"Minutes, {label}",
                    value=str(phase["min"]),
                    kind="number",
                    fault=wrong,
                ),
                Field(
                    name=f"{where}.hands",
                    label=f"Hands in {label}",
                    kind="choice",
                    options=choice(_HANDS, (phase["hands"],)),
                    fault=faults.get(f"{where}.hands", ""),
                ),
                Field(
                    name=f"{where}.running",
                    label=f"Output in {label}",
                    kind="choice",
                    options=choice(_RUNNING, ("yes" if phase["running"] else "",)),
                    fault=faults.get(f"{where}.running", ""),
                ),
            ),
        )


def _suggested(key: str, outputs: Sequence[str], offered: Offered) -> str:
    """What is published about the field, for the part's outputs; never filled in by itself."""
    known = [(text, source) for output, text, source in offered.suggest.get(key, ()) if not output or output in outputs]
    return " ".join(f"{text[:1].upper()}{text[1:]} ({source})." for text, source in known)


def _codes(names: Mapping[str, str]) -> str:
    return ", ".join(f"{code} 1" for code in list(names)[:2]) or "heads 1"
