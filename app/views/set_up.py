"""The forms of the set-up, field by field, with help beside each."""

from collections.abc import Callable, Mapping

from app.views.filling import Faults, Filling, Known, Values, code_field
from app.views.forms import Field, Group, Row, choice

WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
OUTPUTS = ("ultrasound", "pads", "cups")
EMPTY_ROWS = 2
_COPY = "As on Monday, until Friday"
MOST_CHANNELS = 16


def clinic_groups(values: Values, faults: Faults, known: Known) -> tuple[Group, ...]:
    field = Filling(values, faults)
    return (
        Group(
            title="The clinic",
            fields=(
                field.text("name", "Name", "Stands on top of every page."),
                field.text(
                    "time_zone",
                    "Time zone",
                    "Such as Europe/Dublin. Days are planned by its clock.",
                    suggested=tuple(known.zones),
                ),
                field.text(
                    "what_to_bring", "What to bring", "Stands on every appointment slip: no treatment, no diagnosis."
                ),
            ),
        ),
        Group(
            title="How days are planned",
            help="New days begin with these; days that are booked already follow, where their visits still hold.",
            fields=(
                field.text(
                    "step_min", "Step, minutes", "Starts are multiples of 1, 5, 10 or 15 minutes.", kind="number"
                ),
                field.text("move_min", "Moving a unit, minutes", "To wheel a unit to another place.", kind="number"),
                field.text(
                    "bay_turnover_min",
                    "Bay turnover, minutes",
                    "To make a bay ready for the next visit.",
                    kind="number",
                ),
                field.text("aims", "Aims in their order", "What planning makes small, the most important first."),
            ),
        ),
    )


def opening_groups(values: Values, faults: Faults, known: Known) -> tuple[Group, ...]:
    field = Filling(values, faults)
    rows = tuple(
        Row(label=weekday, fields=(field.cell("hours", i, f"Opening hours on {weekday}"),))
        for i, weekday in enumerate(WEEKDAYS)
    )
    help = "Such as 08:00-17:00. Leave a day empty on which the clinic does not open."
    return (Group(title="Opening hours", help=help, heads=("Day", "Open"), rows=rows, copies=4, copy=_COPY),)


def place_groups(values: Values, faults: Faults, known: Known) -> tuple[Group, ...]:
    field = Filling(values, faults)
    return (
        Group(
            title="The place",
            help="A place is bays so close together that one unit serves them all without being moved.",
            fields=(
                code_field(field, "such as garden"),
                field.text("name", "Name", "Shown on every page; the code where it is empty."),
                field.text("bays", "Bays", "Their names with commas between, such as G1, G2, G3."),
                field.text("tags", "Tags", "What a visit may ask for, such as step-free, quiet. May stay empty."),
            ),
        ),
    )


def unit_groups(values: Values, faults: Faults, known: Known) -> tuple[Group, ...]:
    field = Filling(values, faults)
    count = min(MOST_CHANNELS, len(values.get("channel_id", ())) + EMPTY_ROWS)
    rows = tuple(
        Row(
            label=f"Channel {i + 1}",
            fields=(
                field.cell("channel_id", i, f"Name of channel {i + 1}"),
                field.cell("channel_drives", i, f"Outputs of channel {i + 1}", OUTPUTS),
            ),
        )
        for i in range(count)
    )
    on_mains = choice((("yes", "on mains"), ("", "has a battery")), (str(values.get("on_mains", "yes")),))
    return (
        Group(
            title="The unit",
            fields=(
                code_field(field, "such as U1"),
                field.text("name", "Name", "Shown on every page; the code where it is empty."),
                field.text(
                    "patients_at_once", "Patients at once", "How many may be on it at the same time.", kind="number"
                ),
                field.checks(
                    "places",
                    "Places",
                    "Where it may stand. It is moved between them where there are several.",
                    known.places,
                    values.get("places_chosen", ()),
                ),
            ),
        ),
        Group(
            title="Channels",
            help="Each channel drives one of its outputs at a time. Put commas between outputs, such as pads, cups. "
            "Empty rows are passed over; saving gives two more.",
            heads=("", "Name", "Drives"),
            rows=rows,
        ),
        Group(
            title="Power",
            help="Figures from the unit’s label, or measured at the clinic. A plan is no better than they are. They "
            "are read only where the unit has a battery.",
            fields=(
                Field(
                    name="on_mains",
                    label="Runs",
                    kind="choice",
                    options=on_mains,
                    help="On mains it is plugged in all day, during treatments too.",
                ),
                field.text(
                    "capacity_wh", "Capacity, Wh", "Volts times ampere-hours; less for an old battery.", kind="number"
                ),
                field.text("start_pct", "At opening, %", "How full it is when the clinic opens.", kind="number"),
                field.text("reserve_pct", "Reserve, %", "Never drawn on by a plan.", kind="number"),
                field.text("standby_w", "Standby, W", "While it is on and nothing runs.", kind="number"),
                field.text("draw_w", "Draw by output, W", "Such as ultrasound 20, pads 6."),
                field.text("pump_w", "Pump, W", "While suction runs; 0 without a pump.", kind="number"),
                field.text("charge_w", "Charging, W", "What the charger gives it; 0: only overnight.", kind="number"),
                field.text(
                    "min_charge_min",
                    "Shortest charge, minutes",
                    "It is plugged in for idle times this long.",
                    kind="number",
                ),
            ),
        ),
    )


def applicator_groups(values: Values, faults: Faults, known: Known) -> tuple[Group, ...]:
    field = Filling(values, faults)
    return (
        Group(
            title="The applicator",
            help="A pool of like items: any of them serves, and each is cleaned after use.",
            fields=(
                code_field(field, "such as heads"),
                field.text("name", "Name", "Shown on every page; the code where it is empty."),
                field.text("items", "Items", "Their names with commas between, such as head-1, head-2."),
                field.checks(
                    "fits",
                    "Fits",
                    "The units it fits; none ticked means every unit.",
                    known.units,
                    values.get("fits_chosen", ()),
                ),
                field.text(
                    "turnaround_min",
                    "Turnaround, minutes",
                    "Cleaning and drying after each use, as the clinic’s own rules and the label’s contact time ask.",
                    kind="number",
                ),
            ),
        ),
    )


def staff_groups(values: Values, faults: Faults, known: Known) -> tuple[Group, ...]:
    field = Filling(values, faults)
    kinds = choice((("therapist", "therapist"), ("assistant", "assistant")), (str(values.get("kind", "therapist")),))
    rows = tuple(
        Row(
            label=weekday,
            fields=(
                field.cell("hours", i, f"Hours on {weekday}"),
                field.cell("breaks", i, f"Breaks on {weekday}"),
            ),
        )
        for i, weekday in enumerate(WEEKDAYS)
    )
    return (
        Group(
            title="The staff member",
            fields=(
                code_field(field, "such as TH1"),
                field.text("name", "Name", "Shown on every page; the code where it is empty."),
                Field(
                    name="kind",
                    label="Kind",
                    kind="choice",
                    options=kinds,
                    fault=faults.get("kind", ""),
                    help="A therapist does every hands-on phase; an assistant those that anyone may do.",
                ),
                field.text(
                    "skills",
                    "Skills",
                    "With commas between, such as ultrasound, suction.",
                    suggested=tuple(known.skills),
                ),
                field.text(
                    "watch_free",
                    "Watches with free hands",
                    "Running unattended treatments this person may watch. No figure is published: the clinic decides.",
                    kind="number",
                ),
                field.text("watch_busy", "Watches with busy hands", "The same while treating somebody.", kind="number"),
            ),
        ),
        Group(
            title="Weekly hours and breaks",
            help="Hours such as 08:00-12:00, 13:00-17:00. Breaks such as 30 in 12:00-14:00: half an hour somewhere "
            "from 12:00 to 14:00. A day without hours is a day off.",
            heads=("Day", "Hours", "Breaks"),
            rows=rows,
            copies=4,
            copy=_COPY,
        ),
    )


def away_groups(values: Values, faults: Faults, known: Known) -> tuple[Group, ...]:
    field = Filling(values, faults)
    return (
        Group(
            title="When",
            fields=(
                field.text("from_date", "From, date", "The first day of it.", kind="date"),
                field.text("from_time", "From, time", "Such as 08:00; 00:00 is the start of that day."),
                field.text("to_date", "Until, date", "The last day of it.", kind="date"),
                field.text("to_time", "Until, time", "Such as 12:30; 24:00 is the end of that day."),
                field.text("note", "Note", "Seen in the set-up only; the audit does not repeat it."),
            ),
        ),
    )


def closure_groups(values: Values, faults: Faults, known: Known) -> tuple[Group, ...]:
    field = Filling(values, faults)
    fields = (
        field.text("date", "Date", "One date. Give each date of a holiday by itself.", kind="date"),
        field.text("reason", "Reason", "Such as public holiday. Visits that it breaks are told it."),
    )
    return (Group(title="A date on which the clinic does not open", fields=fields),)


Groups = Callable[[Values, Faults, Known], tuple[Group, ...]]
THINGS: Mapping[str, tuple[str, Groups]] = {
    "place": ("Place", place_groups),
    "unit": ("Unit", unit_groups),
    "applicator": ("Applicator", applicator_groups),
    "staff": ("Staff member", staff_groups),
}
"""By kind: what one is called, and its fields."""
