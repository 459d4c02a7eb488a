"""What happens to a day that no plan knows of: patients who come late or not at all, phases that take longer.

Where a figure has a published source it is the default, and the source is named in ``SOURCES``, which goes with every
result. The others are 0 until the clinic gives its own.
"""

from dataclasses import dataclass
from math import isfinite

from solver.errors import Fault, refuse_if

LONGEST_MEAN_MIN = 240
SOURCES = (
    "Late patients: 7.7 % are late by a minute or more, 20.5 minutes on the average (Williams 2014, BMJ Open "
    "4:e004679). The source gives no distribution; a geometric one of whole minutes with that mean is taken.",
    "Missed visits: 6.9 % (English outpatients 2013/14). Sources disagree widely: 38.4 % (de Klerk 2019), 52.5 % "
    "(Fatoye), 57.3 % (Mbada 2013). Give the clinic's own share.",
    "Overrun of phases in somebody's hands, and from when a late patient counts as missed: no published figure was "
    "found, so the default is none; both are the clinic's own.",
)
"""Where the defaults come from, one text each."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """Shares lie from 0 to 1; means are in minutes. Raises InputError with every fault, named as the options are.

    ``late_share`` of the patients come late, by ``late_mean`` minutes on the average (Williams 2014, BMJ Open
    4:e004679); the others are there in time. ``missed_share`` of the visits are missed (English outpatients 2013/14).
    Of the phases in somebody's hands ``overrun_share`` take longer than planned, by ``overrun_mean`` minutes on the
    average; a patient later than ``late_limit`` minutes counts as missed, unless it is 0 (no source for these three).
    """

    late_share: float = 0.077
    late_mean: float = 20.5
    missed_share: float = 0.069
    overrun_share: float = 0.0
    overrun_mean: float = 0.0
    late_limit: int = 0

    def __post_init__(self) -> None:
        shares = {"--late-share": self.late_share, "--missed-share": self.missed_share}
        shares["--overrun-share"] = self.overrun_share
        faults = [
            Fault(option, f"{share} is no share", "give a number from 0 to 1")
            for option, share in shares.items()
            if not 0 <= share <= 1
        ]
        pairs = (("late", self.late_share, self.late_mean), ("overrun", self.overrun_share, self.overrun_mean))
        for name, share, mean in pairs:
            least = 1 if share > 0 else 0
            if not isfinite(mean) or not least <= mean <= LONGEST_MEAN_MIN:
                right = f"give minutes from {least} to {LONGEST_MEAN_MIN}"
                faults.append(Fault(f"--{name}-mean", f"{mean:g} is out of range", right))
        if not 0 <= self.late_limit <= LONGEST_MEAN_MIN:
            right = f"give minutes from 0 (no limit) to {LONGEST_MEAN_MIN}"
            faults.append(Fault("--late-limit", f"{self.late_limit} is out of range", right))
        refuse_if(faults)
