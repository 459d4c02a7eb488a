"""A CSV file as rows: encodings, delimiters, quotes, limits. All names are invented."""

import csv
import io
from contextlib import suppress

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.services.csv_in.reading import read_csv
from solver.errors import InputError

WANTED = ("name", "code", "phone", "note")


def _rows(content: bytes) -> list[tuple[int, dict[str, str]]]:
    return [(row.line, row.cells) for row in read_csv(content, WANTED, ("name",)).rows]


@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
@pytest.mark.parametrize("delimiter", [",", ";"])
def test_utf_8_with_either_delimiter_and_with_or_without_a_mark(mark: bytes, delimiter: str) -> None:
    content = (
        mark + f'Code{delimiter}NAME\r\nA1{delimiter}"Zoë{delimiter}\r\nLast"\r\n\r\n=1+1{delimiter}@x\r\n'.encode()
    )
    rows = [(2, {"code": "A1", "name": f"Zoë{delimiter} Last"}), (5, {"code": "=1+1", "name": "@x"})]
    assert _rows(content) == rows


def test_windows_1252_is_found_out_and_said() -> None:
    table = read_csv("name\nZoë €\n".encode("cp1252"), WANTED, ("name",))
    assert (table.encoding, table.rows[0].cells) == ("Windows-1252", {"name": "Zoë €"})


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "file: it is empty; begin with the columns: name, code, phone, note"),
        (b"name\n\x81\n", "file: it is neither in UTF-8 nor in Windows-1252; save it as CSV in UTF-8"),
        ("name\nA\n".encode("utf-16"), "file: it is in UTF-16; save it as CSV in UTF-8"),
        (b'name\nA\n"B\n', 'line 3: its quotes do not match, or a cell is too long; put texts in "'),
        (b"name,diagnosis\n", "line 1, column 2: there is no column 'diagnosis'; give name, code, phone, note"),
        (b"name,Name\n", "line 1, column 2: the column name is there twice; name each column once"),
        (b"code\n", "line 1: the column name is lacking; give name, code, phone, note"),
        (b"name\n" + b"A\n" * 5_001, "file: it has 5,001 rows; give at most 5,000: split it into several"),
        (b"x" * 2_000_001, "file: it has 2,000,001 bytes; give at most 2,000,000: split it into several"),
    ],
)
def test_a_file_that_cannot_be_read_is_refused_in_a_line(content: bytes, said: str) -> None:
    with pytest.raises(InputError) as refused:
        read_csv(content, WANTED, ("name",))
    assert str(refused.value).startswith(said)
    assert len(refused.value.faults) == 1


def test_a_line_with_too_many_cells_is_a_fault_of_that_line() -> None:
    table = read_csv(b"name,code\nA,1\nB,2,3\n", WANTED, ("name",))
    assert [fault.where for fault in table.faults] == ["line 3"]


_CELL = st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=12)


@settings(derandomize=True, max_examples=150, deadline=None)
@given(st.lists(st.tuples(_CELL, _CELL), max_size=8), st.sampled_from(",;"))
def test_what_is_written_is_read(rows: list[tuple[str, str]], delimiter: str) -> None:
    out = io.StringIO()
    csv.writer(out, delimiter=delimiter, quoting=csv.QUOTE_ALL).writerows([("name", "note"), *rows])
    plain = [tuple(" ".join(cell.split()) for cell in row) for row in rows]
    read = [(cells["name"], cells["note"]) for _, cells in _rows(out.getvalue().encode())]
    assert read == [row for row in plain if any(row)]


@settings(derandomize=True, max_examples=300, deadline=None)
@given(st.binary(max_size=80))
def test_any_bytes_are_read_or_refused_in_words(content: bytes) -> None:
    with suppress(InputError):
        table = read_csv(b"name,code\n" + content, WANTED, ("name",))
        assert all(set(row.cells) == {"name", "code"} for row in table.rows)
        assert all(1 < row.line <= content.count(b"\n") + content.count(b"\r") + 2 for row in table.rows)
