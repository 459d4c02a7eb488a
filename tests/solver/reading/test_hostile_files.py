"""Files that mean harm or are badly broken: each is refused at its exact place, in one printable line, and soon."""

import gc
from collections.abc import Callable, Iterator
from time import process_time

import pytest

from solver.errors import InputError, UnreadableError
from solver.jsonio import parse_day, parse_plan
from solver.reading.faults import MOST_FAULTS
from solver.reading.json_text import LARGEST_FILE
from tests.solver.reading.full_files import content, full_day

LONGEST_S = 2.0

"""Seconds of this process's own work, so that a busy machine does not fail the test."""


@pytest.fixture(autouse=True, scope="module")
def _collected() -> Iterator[None]:
    """What other tests left in memory is not looked through while a file is timed."""
    gc.collect()
    gc.freeze()
    yield
    gc.unfreeze()


NOT_JSON = {
    "nothing": (b"", ""),
    "spaces": (b" \n\t", ""),
    "words": (b"good morning", "line 1, column 1"),
    "cut short": (b'{\n "format": "channelday-day/1",\n "date": ', "line 3, column 10"),
    "two values": (b"{} {}", "line 1, column 4"),
    "a trailing comma": (b'{"a": 1,}', "line 1, column 9"),
    "single quotes": (b"{'a': 1}", "line 1, column 2"),
    "a raw line break in a text": (b'{"date": "2031\n"}', "line 1, column 15"),
    "latin-1": ('{"name": "Jos\xe9"}'.encode("latin-1"), ""),
    "a surrogate as bytes": (b'{"name": "\xed\xa0\x80"}', ""),
    "a byte order mark": (b"\xef\xbb\xbf{}", ""),
    "UTF-16": ("{}".encode("utf-16"), ""),
    "NUL bytes": (b"\0" * 100, "line 1, column 1"),
    "deep lists": (b"[" * 100_000 + b"]" * 100_000, ""),
    "deep lists, never closed": (b"[" * 100_000, ""),
    "deep objects": (b'{"a":' * 100_000 + b"1" + b"}" * 100_000, ""),
    "deep under a known key": (b'{"visits":' + b"[" * 100_000 + b"]" * 100_000 + b"}", ""),
    "50 MB": (b" " * 50_000_000, ""),
    "one byte too many": (b" " * (LARGEST_FILE + 1), ""),
}


@pytest.mark.parametrize("name", NOT_JSON)
@pytest.mark.parametrize("parse", [parse_day, parse_plan])
def test_what_is_no_json_is_refused_at_its_place(name: str, parse: Callable[[bytes], object]) -> None:
    data, where = NOT_JSON[name]
    begun = process_time()
    with pytest.raises(UnreadableError) as refusal:
        parse(data)
    assert process_time() - begun < LONGEST_S
    assert [fault.where for fault in refusal.value.faults] == [where]


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"\xef\xbb\xbf{}", "byte order mark"),
        (b'{"a": "\xff"}', "byte 8 is not UTF-8"),
        (b"[" * 100_000, "nested too deep"),
        (b" " * (LARGEST_FILE + 1), "too large"),
        (b"", "empty"),
    ],
)
def test_the_line_says_what_is_wrong(data: bytes, says: str) -> None:
    with pytest.raises(UnreadableError, match=says):
        parse_day(data)


@pytest.mark.parametrize("data", [b"[]", b"null", b"3", b'"x"', b"true", b"NaN", b"1e400", b"9" * 5_000])
def test_json_that_is_no_object_is_a_fault_of_the_whole_file(data: bytes) -> None:
    for parse in (parse_day, parse_plan):
        with pytest.raises(InputError) as refusal:
            parse(data)
        assert not isinstance(refusal.value, UnreadableError)
        assert [fault.where for fault in refusal.value.faults] == [""]


def _day_with(old: str, new: str) -> bytes:
    text = content(full_day()).decode()
    assert old in text
    return text.replace(old, new, 1).encode()


ONE_VALUE = {
    "NaN": ('"move_min": 5', '"move_min": NaN', "move_min"),
    "Infinity": ('"move_min": 5', '"move_min": -Infinity', "move_min"),
    "1e400": ('"capacity_wh": 40', '"capacity_wh": 1e400', "units[0].battery.capacity_wh"),
    "5,000 digits": ('"priority": 2', f'"priority": {"9" * 5_000}', "visits[0].priority"),
    "more than any clinic has": ('"priority": 2', '"priority": 1000001', "visits[0].priority"),
    "minus one": ('"min": 5, "hands": "thera', '"min": -1, "hands": "thera', "visits[0].parts[0].phases[0].min"),
    "no minutes": ('"min": 10, "hands"', '"min": 0, "hands"', "visits[0].parts[0].phases[1].min"),
    "5.0": ('"min": 10, "hands"', '"min": 5.0, "hands"', "visits[0].parts[0].phases[1].min"),
    "a step of 7": ('"step_min": 5', '"step_min": 7', "step_min"),
    "25 o'clock": ('"open": "09:00"', '"open": "25:00"', "open"),
    "one digit": ('"open": "09:00"', '"open": "9:00"', "open"),
    "other digits": ('"open": "09:00"', '"open": "0٩:00"', "open"),
    "after midnight": ('"close": "12:00"', '"close": "24:01"', "close"),
    "closing before opening": ('"close": "12:00"', '"close": "09:00"', "close"),
    "no such date": ('"date": "2031-03-04"', '"date": "2031-02-29"', "date"),
    "a date without dashes": ('"date": "2031-03-04"', '"date": "20310304"', "date"),
    "another format": ("channelday-day/1", "channelday-day/2", "format"),
    "half a character": ('"name": "Front room"', '"name": "Front \\ud800"', "places[0].name"),
    "half a character as an id": ('"patient": "P-001"', '"patient": "\\udfff"', "visits[0].patient"),
    "half a character as a key": ('"pump_w"', '"\\ud800"', "units[0].battery.\ud800"),
    "a line break in a key": ('"pump_w"', '"a\\nb: c; d"', "units[0].battery.a\nb: c; d"),
    "an unknown word": ('"hands": "nobody"', '"hands": "somebody"', "visits[0].parts[0].phases[1].hands"),
    "an unknown aim": ('"wait", "finish"', '"wait", "finnish"', "aims[5]"),
    "an aim twice": ('"wait", "finish"', '"wait", "wait"', "aims[5]"),
    "a unit twice": ('"id": "U2"', '"id": "U1"', "units[1].id"),
    "a channel twice": ('"id": "s2"', '"id": "s1"', "units[0].channels[1].id"),
    "an applicator twice": ('"id": "cup-sets"', '"id": "pad-sets"', "applicators[1].id"),
    "an item twice, in two applicators": ('"cups-1"', '"pads-2"', "applicators[1].items[0]"),
    "a place twice": ('"bays": ["B1"]}', '"bays": ["B1"]}, {"id": "back", "bays": ["B2"]}', "places[2].id"),
    "a bay twice, in two places": ('"B1"', '"F2"', "places[1].bays[0]"),
    "a member twice": ('"id": "A1"', '"id": "T1"', "staff[1].id"),
    "a visit twice": ('"id": "V2"', '"id": "V1"', "visits[1].id"),
    "an unknown place": ('["front", "back"]', '["front", "cellar"]', "units[1].places[1]"),
    "a place twice in a list": ('["front", "back"]', '["front", "front"]', "units[1].places[1]"),
    "an unknown unit in fits": ('"fits": ["U1"]', '"fits": ["U9"]', "applicators[0].fits[0]"),
    "an unknown unit in units": ('"units": ["U1"]', '"units": ["U9"]', "visits[0].parts[0].units[0]"),
    "an unknown applicator": ('"applicators": {"pad-sets"', '"applicators": {"x"', "visits[0].parts[0].applicators.x"),
    "an unknown wish": ('"therapist_wish": "T1"', '"therapist_wish": "T9"', "visits[0].therapist_wish"),
    "an unknown must": ('"therapist_must": "T1"', '"therapist_must": "T9"', "visits[0].therapist_must"),
    "fixed to an unknown therapist": ('{"therapist": "T1"', '{"therapist": "T9"', "visits[0].fixed.therapist"),
    "fixed to an unknown unit": ('"unit": "U1"', '"unit": "U9"', "visits[0].fixed.parts[0].unit"),
    "fixed to an unknown place": ('"place": "front"', '"place": "x"', "visits[0].fixed.parts[0].place"),
    "fixed to an unknown bay": ('"bay": "F1"', '"bay": "x"', "visits[0].fixed.parts[0].bay"),
    "fixed to an unknown channel": ('{"pads": ["s1"]}', '{"pads": ["x"]}', "visits[0].fixed.parts[0].channels.pads[0]"),
    "fixed to an unknown item": ('["pads-1"]', '["x"]', "visits[0].fixed.parts[0].items.pad-sets[0]"),
    "fixed to an unknown pool": ('"items": {"pad-sets"', '"items": {"x"', "visits[0].fixed.parts[0].items.x"),
    "more parts fixed than there are": ('"parts": [{"start"', '"parts": [{}, {"start"', "visits[0].fixed.parts[1]"),
    "an interval of three": ('"hours": [["09:00", "12:00"]]', '"hours": [["09:00", "12:00", 5]]', "staff[0].hours[0]"),
    "an interval of nothing": ('"hours": [["09:00", "12:00"]]', '"hours": [["09:00", "09:00"]]', "staff[0].hours[0]"),
    "overlapping hours": ('["10:00", "12:00"]]', '["09:59", "12:00"]]', "units[0].hours"),
    "a break backwards": ('["10:00", "11:00"]', '["11:00", "10:00"]', "staff[0].breaks[0].between"),
    "busy hands that watch more": ('"watch_busy": 0', '"watch_busy": 5', "staff[0].watch_busy"),
    "no watts for an output": ('"cups": 12, ', "", "units[0].battery.draw_w"),
    "no bay": ('"bays": ["B1"]', '"bays": []', "places[1].bays"),
    "no channel": ('"channels": [{"id": "s1", "drives": []}]', '"channels": []', "units[1].channels"),
    "no phase": ('[{"min": 5, "hands": "anyone", "running": false}]', "[]", "visits[1].parts[0].phases"),
    "a count of none": ('"channels": {"pads": 1}', '"channels": {"pads": 0}', "visits[0].parts[0].channels.pads"),
    "more than a full battery": ('"start_pct": 90', '"start_pct": 101', "units[0].battery.start_pct"),
}  # fmt: skip


@pytest.mark.parametrize("name", ONE_VALUE)
def test_one_wrong_value_is_one_fault_at_its_place(name: str) -> None:
    old, new, where = ONE_VALUE[name]
    begun = process_time()
    with pytest.raises(InputError) as refusal:
        parse_day(_day_with(old, new))
    assert process_time() - begun < LONGEST_S
    assert [fault.where for fault in refusal.value.faults] == [where]
    (line,) = str(refusal.value).splitlines()
    assert line.isprintable()
    assert line.encode("utf-8")


def test_control_characters_in_texts_are_read_and_never_break_a_line() -> None:
    assert (
        parse_day(_day_with('"name": "Front room"', '"name": "Front\\u0007\\nroom"')).places[0].name == "Front\a\nroom"
    )
    with pytest.raises(InputError) as refusal:
        parse_day(_day_with('"therapist_wish": "T1"', '"therapist_wish": "T\\r\\n\\u2028\\u001b[31m"'))
    (line,) = str(refusal.value).splitlines()
    assert line.isprintable()


def test_a_megabyte_of_text_is_cut_in_the_line() -> None:
    with pytest.raises(InputError) as refusal:
        parse_day(_day_with('"therapist_wish": "T1"', f'"therapist_wish": "{"T" * 1_000_000}"'))
    assert len(str(refusal.value)) < 1_000


FLOODS = {
    "empty visits": '{"visits": [' + ",".join(["{}"] * 650_000) + "]}",
    "numbers for visits": '{"visits": [' + ",".join(["1"] * 950_000) + "]}",
    "unknown keys": "{" + ",".join(f'"k{i}": 1' for i in range(150_000)) + "}",
    "one key, many times": "{" + ",".join(['"k": 1'] * 250_000) + "}",
    "many dangling ids": '"places": ["front", "back"]',
    "many phases, all right": '"phases": [{"min": 5, "hands": "anyone", "running": false}]',
}


@pytest.mark.parametrize("name", FLOODS)
def test_a_flood_of_faults_ends_soon(name: str) -> None:
    data = FLOODS[name].encode()
    if name == "many dangling ids":
        places = ", ".join(f'"x{i}"' for i in range(150_000))
        data = _day_with(FLOODS[name], f'"places": [{places}]')
    if name == "many phases, all right":
        phase = '{"min": 5, "hands": "anyone", "running": false}'
        data = _day_with(FLOODS[name], f'"nophases": [], "phases": [{",".join([phase] * 39_000)}]')
    assert len(data) <= LARGEST_FILE
    begun = process_time()
    with pytest.raises(InputError) as refusal:
        parse_day(data)
    assert process_time() - begun < LONGEST_S
    assert len(refusal.value.faults) <= MOST_FAULTS + 1
