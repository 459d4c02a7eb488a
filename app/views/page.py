"""The Day page as a whole: the one object its template reads."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from app.views.cautions import CLINIC, Questions, questions
from app.views.choices import Choices, Filter, Link, filter_words, filters, unit_links, wanted, zoom_links
from app.views.dates import spoken
from app.views.details import LeftOutView, PartDetail, left_out, part_details
from app.views.gaps import PROMISE, Gap
from app.views.parts import Planned
from app.views.scale import Scale, Tick
from app.views.staff import StaffRow, WatchRow, staff_rows, watch_row
from app.views.stock import StockRow, bay_rows, item_rows
from app.views.summary import ProgressView, Summary, summary
from app.views.table import PartRow, Table, gap_table, part_rows, staff_table, unit_table
from app.views.units import UnitBand, unit_band
from app.views.upkeep import DueLine
from app.views.words import counted, short_outputs
from solver.clinic import Unit
from solver.clock import clock


@dataclass(frozen=True, slots=True)
class Axis:
    """``minutes`` from opening to closing; ``zoom`` fill the width; ``now_at`` after opening, None: not shown."""

    minutes: int
    zoom: int
    ticks: tuple[Tick, ...]
    now_at: int | None
    now: str


@dataclass(frozen=True, slots=True)
class PlanForm:
    """Planning again: addresses, the seconds offered or given, what is wrong with those, what kept a search from
    starting, and the running or last search. ``page_address``: the page to show when the search has ended.
    ``may_plan``: whether the reader may start and stop one."""

    page_address: str
    action: str
    cancel: str
    events: str
    proposal: str
    may_plan: bool
    seconds: str
    most: int
    fault: str
    faults: tuple[str, ...]
    progress: ProgressView | None


@dataclass(frozen=True, slots=True)
class DayPage:
    """``parts`` and ``tables`` are filled for the table, ``units`` for both. ``shown`` and ``shown_gap``: the part or
    gap whose details the panel opens with; both None where it is closed. ``state``: ``planned``, or ``unplanned`` where
    the visits have no plan yet, or ``unbooked`` where nothing is kept of the date; ``standing`` says the last two in
    words. ``changes``: the address that tells of other versions. ``filter_words``: what the filters ask for, empty for
    all. ``visit_ids``: ids of the visits' rows, by their codes. ``upkeep``: what is due or overdue on the date."""

    date: str
    title: str
    address: str
    part_address: str
    summary: Summary
    state: str
    standing: str
    changes: str
    filters: tuple[Filter, ...]
    filter_words: str
    hidden: tuple[tuple[str, str], ...]
    zooms: tuple[Link, ...]
    picker: tuple[Link, ...]
    unit: str
    all_address: str
    timeline_address: str
    table_address: str
    as_table: bool
    axis: Axis
    outputs: tuple[tuple[str, str, int], ...]
    units: tuple[UnitBand, ...]
    staff: tuple[StaffRow, ...]
    watch: WatchRow
    items: tuple[StockRow, ...]
    bays: tuple[StockRow, ...]
    details: tuple[PartDetail, ...]
    gaps: tuple[Gap, ...]
    gap_promise: str
    shown: PartDetail | None
    shown_gap: Gap | None
    left_out: tuple[LeftOutView, ...]
    cautions: tuple[str, ...]
    questions: tuple[Questions, ...]
    parts: tuple[PartRow, ...]
    tables: tuple[Table, ...]
    live: bool
    visit_ids: Mapping[str, int] = field(default_factory=dict)
    upkeep: tuple[DueLine, ...] = ()


def day_page(planned: Planned, state: str, version: int, chosen: Choices, now: int | None) -> DayPage:
    """Build the page. ``now``: the minute of the day it is, None on another date; ``chosen.at`` goes before it."""
    day = planned.day
    moment = chosen.now if chosen.now is not None else now
    in_view = moment is not None and day.open <= moment <= day.close
    asked = wanted(planned, chosen)
    quiet = frozenset(part.key for part in planned.parts) - asked
    units = tuple(
        unit_band(planned, unit, moment, quiet, with_gaps=not (chosen.staff or chosen.patient))
        for unit in day.units
        if _shows(planned, unit, chosen, asked)
    )
    staff = staff_rows(planned, quiet, chosen.staff or None)
    details = part_details(planned, moment)
    free = tuple(gap for unit in units for rail in unit.rails for gap in rail.gaps)
    every_filter = filters(day, chosen)
    tables = (gap_table(units), unit_table(planned, units), staff_table(staff)) if chosen.table else ()
    return DayPage(
        date=day.date.isoformat(),
        title=spoken(day.date),
        address=chosen.address(day),
        part_address=_before_part(chosen.address(day, part="")),
        summary=summary(day, planned.plan, version),
        state=state,
        standing=_standing(planned, state),
        changes=f"/day/{day.date.isoformat()}/changes?seen={version}",
        filters=every_filter,
        filter_words=filter_words(every_filter),
        hidden=_hidden(chosen),
        zooms=zoom_links(day, chosen),
        picker=unit_links(day, chosen),
        unit=chosen.unit,
        all_address=chosen.address(day, unit="", place="", staff="", patient=""),
        timeline_address=chosen.address(day, table=False),
        table_address=chosen.address(day, table=True),
        as_table=chosen.table,
        axis=Axis(
            minutes=day.close - day.open,
            zoom=chosen.zoom,
            ticks=Scale.of(day).ticks(chosen.zoom),
            now_at=moment - day.open if moment is not None and in_view else None,
            now=clock(moment) if moment is not None else "",
        ),
        outputs=_outputs(planned),
        units=units,
        staff=staff,
        watch=watch_row(planned),
        items=item_rows(planned, quiet),
        bays=bay_rows(planned, quiet, chosen.place),
        details=details,
        gaps=free,
        gap_promise=PROMISE,
        shown=next((detail for detail in details if detail.key == chosen.part), None),
        shown_gap=next((gap for gap in free if gap.key == chosen.part), None),
        left_out=left_out(planned),
        cautions=CLINIC,
        questions=questions(tuple(planned.outputs)),
        parts=part_rows(planned, asked, moment) if chosen.table else (),
        tables=tables,
        live=now is not None and chosen.now is None,
    )


def plan_form(
    planned: Planned,
    chosen: Choices,
    *,
    may_plan: bool = True,
    seconds: str,
    most: int,
    fault: str = "",
    faults: tuple[str, ...] = (),
    progress: ProgressView | None,
) -> PlanForm:
    """The form for planning again, from a page that shows ``chosen``."""
    day = planned.day
    return PlanForm(
        page_address=chosen.address(day),
        action=chosen.address(day, "/plan"),
        cancel=chosen.address(day, "/plan/cancel"),
        events=chosen.address(day, "/plan/events"),
        proposal=f"/day/{day.date.isoformat()}/proposal",
        may_plan=may_plan,
        seconds=seconds,
        most=most,
        fault=fault,
        faults=faults,
        progress=progress,
    )


def _standing(planned: Planned, state: str) -> str:
    if state == "unbooked":
        return "nobody is booked yet; this is the day as the weekly hours make it"
    if state == "unplanned":
        return f"{counted(len(planned.day.visits), 'visit')} asked for, not planned yet"
    return ""


def _shows(planned: Planned, unit: Unit, chosen: Choices, asked: frozenset[str]) -> bool:
    if chosen.unit not in ("", unit.id) or (chosen.place and chosen.place not in unit.places):
        return False
    if chosen.staff or chosen.patient:
        return any(part.key in asked for part in planned.on_unit(unit.id))
    return True


def _before_part(address: str) -> str:
    """An address that a part's key only has to be added to."""
    return f"{address}{'&' if '?' in address else '?'}part="


def _hidden(chosen: Choices) -> tuple[tuple[str, str], ...]:
    """What the filter form carries along besides its own fields."""
    carried = (
        ("zoom", str(chosen.zoom) if chosen.zoom else ""),
        ("at", chosen.at),
        ("as", "table" if chosen.table else ""),
    )
    return tuple((name, value) for name, value in carried if value)


def _outputs(planned: Planned) -> tuple[tuple[str, str, int], ...]:
    shorts = short_outputs(planned.outputs)
    return tuple((output, shorts[output], i % 6) for i, output in enumerate(planned.outputs))
