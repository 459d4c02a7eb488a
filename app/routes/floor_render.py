"""From the board to what the Floor's templates read."""

import datetime
from collections.abc import Iterator

from app.clock import local_minute
from app.routes.floor_buttons import button, undo_button, visit_buttons
from app.services.floor.board import Board, Turn
from app.services.floor.cleaning import Cleaning
from app.services.floor.events import may_be_undone
from app.services.floor.expected import ExpectedPhase
from app.services.floor.reading import Reading
from app.services.floor.remaining import phase_due, phase_left
from app.views.blocks import phase_kind
from app.views.dates import spoken
from app.views.floor import (
    BatteryView,
    Card,
    ChannelRow,
    CleaningLine,
    Countdown,
    FloorView,
    LapsedLine,
    PressLine,
    Queue,
    TurnLine,
    UnitCard,
    WatchView,
    left_text,
)
from app.views.floor_words import part_words, phase_words, press_words
from app.views.words import counted, short_name
from solver.clinic import Channel, Unit
from solver.clock import clock

Moment = datetime.datetime
PRESSES_SHOWN = 6


def floor_view(reading: Reading, board: Board, late: str, *, may_press: bool) -> FloorView:
    """The whole board. ``late``: what delays do, in words; ``may_press``: whether its reader may do more than look."""
    return FloorView(
        date=reading.date.isoformat(),
        title=spoken(reading.date),
        address=f"/floor/{reading.date.isoformat()}",
        mark=reading.mark,
        now=_milliseconds(board.now),
        clock=local_time(reading, board.now),
        units=tuple(_unit(reading, board, unit) for unit in reading.day.units),
        queues=tuple(_queues(reading, board)),
        watch=_watch(reading, board),
        cleaning=tuple(_cleaning(reading, board, one) for one in board.cleaning),
        presses=tuple(_presses(reading))[:PRESSES_SHOWN],
        lapsed=tuple(_lapsed(reading, code) for code in board.lapsed),
        late=late,
        may_press=may_press,
    )


def visit_address(reading: Reading, code: str) -> str:
    return f"/floor/{reading.date.isoformat()}/visit/{reading.row_ids[code]}"


def press_lines(reading: Reading, code: str) -> tuple[PressLine, ...]:
    """What was pressed about one visit, the newest first."""
    return tuple(_presses(reading, code))


def _unit(reading: Reading, board: Board, unit: Unit) -> UnitCard:
    out = reading.state.out.get(unit.id)
    until = "" if out is None or out.until is None else f", until {clock(out.until)}"
    patients = {code for (of, _), (code, _) in board.running.items() if of == unit.id}
    return UnitCard(
        id=unit.id,
        name=unit.name,
        out="" if out is None else f"{out.reason}{until}",
        at_once=f"{len(patients)} of {counted(unit.patients_at_once, 'patient')}",
        rows=tuple(_row(reading, board, unit, channel) for channel in unit.channels),
        cards=tuple(_card(reading, board, code) for code in board.at_hand[unit.id]),
        battery=_battery(reading, board, unit),
    )


def _row(reading: Reading, board: Board, unit: Unit, channel: Channel) -> ChannelRow:
    outputs = list(dict.fromkeys(output for one in reading.day.units for ch in one.channels for output in ch.drives))
    coming = board.coming.get((unit.id, channel.id))
    next_up = ""
    if coming is not None:
        next_up = f"{local_time(reading, coming.begin)} {short_name(reading.day.visit_by_id[coming.visit].patient)}"
    here = board.running.get((unit.id, channel.id))
    if here is None:
        return ChannelRow(channel.id, ", ".join(channel.drives), 0, "", "", "free", None, next_up)
    code, number = here
    part, placed = reading.part(code, number)
    run = reading.state.visit(code).parts[number]
    output = next(output for output, names in placed.channels.items() if channel.id in names)
    return ChannelRow(
        channel=channel.id,
        drives=output,
        hue=outputs.index(output) % 6,
        kind=phase_kind(part.phases[run.phase]),
        initials=short_name(reading.day.visit_by_id[code].patient),
        what="paused" if run.paused else phase_words(part.phases[run.phase]),
        countdown=countdown_of(reading, board.now, code, number),
        coming=next_up,
    )


def _card(reading: Reading, board: Board, code: str) -> Card:
    visit, run = reading.day.visit_by_id[code], reading.state.visit(code)
    number = run.running
    shown = number if number is not None else reading.next_part(code) or 0
    part, placed = reading.part(code, shown)
    state, says = _state(reading, board, code)
    return Card(
        address=visit_address(reading, code),
        initials=short_name(visit.patient),
        name=visit.patient,
        where=f"bay {placed.bay}, {reading.day.place_by_id[placed.place].name}",
        when=f"{clock(placed.start)}–{clock(placed.start + part.minutes)}",
        state=state,
        says=says,
        what=part_words(part, placed),
        countdown=None if number is None else countdown_of(reading, board.now, code, number),
        buttons=tuple(visit_buttons(reading, code)),
    )


def _state(reading: Reading, board: Board, code: str) -> tuple[str, str]:
    run, visit = reading.state.visit(code), reading.day.visit_by_id[code]
    number = run.running
    if number is not None:
        part, here = visit.parts[number], run.parts[number]
        if here.paused:
            return "paused", f"paused in phase {here.phase + 1} of {len(part.phases)}"
        left = phase_left(part, here, board.now)
        hands = reading.hands(code, number, here.phase)
        who = "" if hands is None else f", {reading.day.staff_by_id[hands].name}"
        words = f"{phase_words(part.phases[here.phase])}{who}"
        return ("over", f"{words}: its minutes are over") if left < 0 else ("running", words)
    if not reading.is_there(code):
        if run.expected is not None:
            return "late", f"expected at {clock(run.expected)}"
        planned = reading.instant(reading.placed[code].parts[0].start)
        return ("late", "not there yet") if planned < board.now else ("expected", f"at {local_time(reading, planned)}")
    if run.decision is None:
        return "waiting", "there; nobody has decided yet"
    if not run.decision.go:
        return "waiting", f"not now, {run.decision.by} decided"
    return "ready", f"may start: {run.decision.by} decided"


def countdown_of(reading: Reading, now: Moment, code: str, number: int) -> Countdown:
    """Of the phase that a running part is in."""
    part, _ = reading.part(code, number)
    run = reading.state.visit(code).parts[number]
    left = phase_left(part, run, now)
    return Countdown(_milliseconds(phase_due(part, run, now)), left_text(left), run.paused)


def _battery(reading: Reading, board: Board, unit: Unit) -> BatteryView | None:
    now = board.batteries[unit.id]
    if now is None:
        return None
    said = []
    if now.reserve_at is not None:
        said.append(f"below the reserve of {now.reserve_pct} % at {clock(now.reserve_at)}")
    else:
        said.append(f"stays above the reserve of {now.reserve_pct} %")
    if now.charging:
        said.append("charging now, if plugged in")
    elif now.charge_at is not None:
        said.append(f"next charge {clock(now.charge_at)}")
    empty = reading.state.empty.get(unit.id)
    if empty is not None:
        said.append(f"said to be empty at {local_time(reading, empty)}, which the reckoning does not know")
    return BatteryView(now.now_pct, now.reserve_pct, "; ".join(said), now.reserve_at is not None or empty is not None)


def _queues(reading: Reading, board: Board) -> Iterator[Queue]:
    for member in reading.day.staff:
        away = reading.state.away.get(member.id)
        turns = board.queues[member.id]
        first = next((turn for turn in turns if not turn.phase.runs), None)
        yield Queue(
            staff=member.id,
            name=member.name,
            kind=member.kind,
            away="" if away is None else f"away{'' if away.until is None else f' until {clock(away.until)}'}",
            lines=tuple(_turn(reading, board, turn, turn is first) for turn in turns),
        )


def _turn(reading: Reading, board: Board, turn: Turn, first: bool) -> TurnLine:
    one = turn.phase
    part, placed = reading.part(one.visit, one.part)
    patient = reading.day.visit_by_id[one.visit].patient
    gap = turn.gap_s
    warning = "meets the turn before" if turn.clashes else ""
    if not warning and gap is not None and gap >= 60:
        warning = f"{counted(int(gap // 60), 'minute')} free before"
    return TurnLine(
        when=local_time(reading, one.begin),
        minutes=counted(one.what.minutes, "minute"),
        initials=short_name(patient),
        name=patient,
        where=f"{reading.day.unit_by_id[placed.unit].name}, bay {placed.bay}",
        what=f"{part_words(part, placed)}: {phase_words(one.what)}",
        state="now" if one.runs else "next" if first else "later",
        warning=warning,
        countdown=_of_turn(reading, board, one, first),
        address=visit_address(reading, one.visit),
    )


def _of_turn(reading: Reading, board: Board, one: ExpectedPhase, first: bool) -> Countdown | None:
    if one.runs:
        return countdown_of(reading, board.now, one.visit, one.part)
    left = (one.begin - board.now).total_seconds()
    return Countdown(_milliseconds(one.begin), left_text(left)) if first else None


def _watch(reading: Reading, board: Board) -> WatchView:
    watch = board.watch
    runs = f"{counted(watch.running, 'part')} unattended"
    if watch.free < 0:
        text = f"{runs}: {-watch.free} more than can be watched"
    elif watch.lowest < 0:
        at = local_time(reading, watch.lowest_at)
        text = f"{runs}; watch will be short by {-watch.lowest} at {at}: free a pair of hands before"
    else:
        at = local_time(reading, watch.lowest_at)
        text = f"{runs}, {watch.free} more could be watched; least within the hour {watch.lowest}, at {at}"
    return WatchView(text, min(watch.free, watch.lowest) < 0)


def _cleaning(reading: Reading, board: Board, one: Cleaning) -> CleaningLine:
    pressed = button(reading, "Clean again", "clean", item=one.item)
    if one.until is None:
        return CleaningLine(one.item, one.pool, "set aside", None, pressed)
    left = left_text((one.until - board.now).total_seconds())
    text = f"until {local_time(reading, one.until)}"
    return CleaningLine(one.item, one.pool, text, Countdown(_milliseconds(one.until), left), pressed)


def _lapsed(reading: Reading, code: str) -> LapsedLine:
    initials = short_name(reading.day.visit_by_id[code].patient)
    return LapsedLine(visit_address(reading, code), initials, clock(reading.placed[code].parts[0].start))


def _presses(reading: Reading, code: str | None = None) -> Iterator[PressLine]:
    for event in reversed(reading.events):
        if code is not None and event.visit != code:
            continue
        known = reading.day.visit_by_id.get(event.visit or "")
        patient = known.patient if known is not None else event.visit or ""
        undo = undo_button(reading, event.id) if may_be_undone(reading.events, event.id) else None
        text = press_words(reading.day, event.kind, event.part, event.detail, patient)
        yield PressLine(local_time(reading, event.at), text, event.actor, undo)


def local_time(reading: Reading, moment: Moment) -> str:
    """The clinic’s clock at the moment."""
    return clock(local_minute(moment, reading.date, reading.zone))


def _milliseconds(moment: Moment) -> int:
    return int(moment.timestamp() * 1000)
