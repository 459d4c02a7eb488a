"""The forms of the set-up: everything as the texts that a page shows and sends.

Times are ``"09:30"``, local; dates ``"2031-03-04"``. A list in one text is divided by commas, and what holds a comma
itself stands in double quotes. Weekdays are seven texts, Monday first.
"""

from dataclasses import dataclass

WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
NO_DAYS = ("",) * 7


@dataclass(frozen=True, slots=True, kw_only=True)
class ClinicForm:
    """``aims``: a list, the first aim first."""

    name: str
    time_zone: str
    step_min: str = "5"
    move_min: str = "0"
    bay_turnover_min: str = "0"
    aims: str = "placed, stable, wish, therapist, wait, finish"
    what_to_bring: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class OpeningForm:
    """``hours``: for each weekday ``"09:00-17:00"``, or nothing where the clinic does not open."""

    hours: tuple[str, ...] = NO_DAYS


@dataclass(frozen=True, slots=True, kw_only=True)
class ClosureForm:
    date: str
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceForm:
    """``bays`` and ``tags``: lists."""

    code: str
    name: str = ""
    bays: str = ""
    tags: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitForm:
    """``channel_id`` and ``channel_drives``: an entry each for each channel, the latter a list of outputs.

    ``places``: a list of codes. ``on_mains``: ``"yes"``, or nothing where it has a battery; the texts after it are read
    only then. ``draw_w``: a list such as ``"ultrasound 20, pads 6"``, watts for each output.
    """

    code: str
    name: str = ""
    patients_at_once: str = "1"
    places: str = ""
    channel_id: tuple[str, ...] = ()
    channel_drives: tuple[str, ...] = ()
    on_mains: str = "yes"
    capacity_wh: str = ""
    start_pct: str = "100"
    reserve_pct: str = ""
    standby_w: str = ""
    draw_w: str = ""
    pump_w: str = "0"
    charge_w: str = ""
    min_charge_min: str = "15"


@dataclass(frozen=True, slots=True, kw_only=True)
class ApplicatorForm:
    """``items``: a list. ``fits``: a list of unit codes; nothing: every unit."""

    code: str
    name: str = ""
    items: str = ""
    fits: str = ""
    turnaround_min: str = "0"


@dataclass(frozen=True, slots=True, kw_only=True)
class MemberForm:
    """``kind``: ``"therapist"`` or ``"assistant"``. ``skills``: a list.

    For each weekday, ``hours``: a list such as ``"09:00-13:00, 14:00-17:00"``; ``breaks``: a list such as
    ``"30 in 12:00-14:00"``, a break of 30 minutes somewhere from 12:00 to 14:00.
    """

    code: str
    name: str = ""
    kind: str = "therapist"
    skills: str = ""
    watch_free: str = "0"
    watch_busy: str = "0"
    hours: tuple[str, ...] = NO_DAYS
    breaks: tuple[str, ...] = NO_DAYS


@dataclass(frozen=True, slots=True, kw_only=True)
class AwayForm:
    """When somebody is absent, or a unit is out of service, by the clinic's clock."""

    from_date: str
    from_time: str = "00:00"
    to_date: str
    to_time: str = "24:00"
    note: str = ""


ThingForm = PlaceForm | UnitForm | ApplicatorForm | MemberForm
