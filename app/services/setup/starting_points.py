"""Ready-made forms of units to start from. They are invented, and so are their figures: no maker's unit is meant."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from app.services.setup.forms import UnitForm

FROM_THE_LABEL = ("capacity_wh", "reserve_pct", "standby_w", "draw_w", "pump_w", "charge_w", "min_charge_min")


@dataclass(frozen=True, slots=True)
class StartingPoint:
    """``title`` and ``note`` say what it is. ``to_replace``: fields whose made-up figures the label's replace."""

    key: str
    title: str
    note: str
    form: UnitForm
    to_replace: Sequence[str]


_INVENTED = "Invented, no maker's unit. Put the channels as yours has them."
_LABEL = " The watts and watt-hours are made up: replace them by those of your unit's label, or measure them."
_ON_BATTERY = UnitForm(
    code="",
    on_mains="",
    patients_at_once="2",
    channel_id=("u1", "p1", "p2"),
    channel_drives=("ultrasound", "pads", "pads"),
    capacity_wh="120",
    reserve_pct="20",
    standby_w="5",
    draw_w="ultrasound 20, pads 8",
    charge_w="60",
)
_POINTS = (
    StartingPoint(
        "ultrasound-and-two-pads-on-mains",
        "One ultrasound and two pads channels, on mains (invented)",
        _INVENTED,
        replace(UnitForm(code=""), patients_at_once="2", channel_id=_ON_BATTERY.channel_id,
                channel_drives=_ON_BATTERY.channel_drives),
        (),
    ),
    StartingPoint(
        "ultrasound-and-two-pads-on-battery",
        "One ultrasound and two pads channels, on battery (invented)",
        _INVENTED + _LABEL,
        _ON_BATTERY,
        FROM_THE_LABEL,
    ),
    StartingPoint(
        "four-pads-or-cups-on-mains",
        "Four channels for pads or suction cups, on mains (invented)",
        _INVENTED,
        UnitForm(
            code="",
            patients_at_once="2",
            channel_id=("s1", "s2", "s3", "s4"),
            channel_drives=("pads, cups",) * 4,
        ),
        (),
    ),
    StartingPoint(
        "ultrasound-and-two-cups-on-battery",
        "One ultrasound and two channels for pads or cups with a pump, on battery (invented)",
        _INVENTED + _LABEL,
        replace(
            _ON_BATTERY,
            channel_id=("u1", "s1", "s2"),
            channel_drives=("ultrasound", "pads, cups", "pads, cups"),
            draw_w="ultrasound 20, pads 8, cups 8",
            pump_w="12",
        ),
        FROM_THE_LABEL,
    ),
)  # fmt: skip


def starting_points() -> Sequence[StartingPoint]:
    return _POINTS


def unit_from(key: str, *, code: str, places: str) -> UnitForm:
    """The form of the starting point, filled in for one's own unit. Raises KeyError for an unknown one."""
    points = {point.key: point for point in _POINTS}
    return replace(points[key].form, code=code, places=places)
