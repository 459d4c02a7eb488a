"""What may be suggested beside a field of a treatment, each with its source. Nothing is ever filled in by itself.

The published rules for minutes disagree several-fold, so none is more than a suggestion: the clinician prescribes.
"""

from dataclasses import dataclass

FROM_MEMORY = "from memory, check"


@dataclass(frozen=True, slots=True)
class Suggestion:
    """``field``: of a part in a form, or ``body_site``; ``output``: what it is about, empty for any."""

    field: str
    output: str
    text: str
    source: str


SUGGESTIONS = (
    Suggestion("phases", "ultrasound", "1 minute per 10 cm² is a classical rule", "textbook rule, as reposted"),
    Suggestion(
        "phases", "ultrasound", "10 minutes over an area of twice the head", "Miller 2008, J Sports Sci Med 7:286"
    ),
    Suggestion(
        "phases",
        "ultrasound",
        "4 minutes were compared with 8, in 10 sessions within 2 weeks",
        "Yıldırım 2015, J Phys Ther Sci 27:3667",
    ),
    Suggestion(
        "phases",
        "ultrasound",
        "minutes = pulse factor × (area ÷ effective radiating area)",
        f"Watson, as reposted: {FROM_MEMORY}",
    ),
    Suggestion(
        "duty",
        "ultrasound",
        "the pulse factor is the sum of the ratio: 1:4 has 5, 1:1 has 2, continuous has 1",
        "Watson 2002, as reposted",
    ),
    Suggestion("intensity_high", "ultrasound", "at most 3 W/cm²", "Health Canada, Safety Code 23"),
    Suggestion(
        "phases",
        "pads",
        "interferential current 20 minutes; high-volt 30 to 90 minutes",
        "College of Physiotherapists of Ontario, cases",
    ),
    Suggestion(
        "channels",
        "pads",
        "four-pole interferential current takes two circuits and four electrodes",
        "Goats 1990, Br J Sports Med 24:87",
    ),
    Suggestion(
        "intensity_high",
        "pads",
        "a current density above 2 mA/cm² may need special attention",
        "IEC 60601-2-10, excerpt of its Australian edition, 2018",
    ),
    Suggestion("mode", "ultrasound", "continuous, or pulsed", FROM_MEMORY),
    Suggestion("mode", "pads", "biphasic, or interferential", FROM_MEMORY),
    Suggestion("preparation", "ultrasound", "skin clean and dry; gel", FROM_MEMORY),
    Suggestion("preparation", "pads", "skin clean and dry; moistened sponges, or gel", FROM_MEMORY),
    Suggestion("preparation", "cups", "skin clean and dry; moistened sponges in the cups", FROM_MEMORY),
)


def suggestions_for(field: str, outputs: tuple[str, ...] = ()) -> tuple[Suggestion, ...]:
    """What is known of the field, for any of the outputs."""
    return tuple(
        known for known in SUGGESTIONS if known.field == field and (not known.output or known.output in outputs)
    )
