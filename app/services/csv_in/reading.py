"""A CSV file as rows of texts, each cell plain text whatever it looks like."""

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass

from app.db.folding import folded_words
from solver.errors import Fault, InputError

MOST_BYTES = 2_000_000
MOST_ROWS = 5_000


@dataclass(frozen=True, slots=True)
class CsvRow:
    """``line``: where it begins in the file, counted from 1; ``cells`` by column, without blanks around them."""

    line: int
    cells: dict[str, str]


@dataclass(frozen=True, slots=True)
class CsvTable:
    """``encoding``: what the file turned out to be in, to be told. Rows with nothing in them are left out."""

    encoding: str
    delimiter: str
    columns: tuple[str, ...]
    rows: tuple[CsvRow, ...]
    faults: tuple[Fault, ...]


def read_csv(content: bytes, wanted: Sequence[str], needed: Sequence[str]) -> CsvTable:
    """The rows of a file whose first line names its columns, in any order and case.

    ``wanted``: the columns that may be there; ``needed``: those that must. Lines with too many cells are among the
    table's faults. Raises InputError where the file cannot be read at all, or its columns are not right.
    """
    if len(content) > MOST_BYTES:
        what = f"it has {len(content):,} bytes"
        raise InputError([Fault("file", what, f"give at most {MOST_BYTES:,}: split it into several")])
    text, encoding = _decoded(content)
    first = text.lstrip("\r\n").split("\n", 1)[0]
    delimiter = ";" if first.count(";") > first.count(",") else ","
    lines = _lines(text, delimiter)
    if not lines:
        raise InputError([Fault("file", "it is empty", f"begin with the columns: {', '.join(wanted)}")])
    (line, names), *rest = lines
    columns = tuple(" ".join(folded_words(name)) for name in names)
    _check_columns(line, names, columns, wanted, needed)
    if len(rest) > MOST_ROWS:
        what = f"it has {len(rest):,} rows"
        raise InputError([Fault("file", what, f"give at most {MOST_ROWS:,}: split it into several")])
    rows, faults = [], []
    for line, cells in rest:
        if any(cell.strip() for cell in cells[len(columns) :]):
            what, right = (
                f"there are {len(cells)} cells for {len(columns)} columns",
                "put texts with a delimiter in quotes",
            )
            faults.append(Fault(f"line {line}", what, right))
        padded = [*cells, *[""] * len(columns)]
        rows.append(CsvRow(line, {name: " ".join(cell.split()) for name, cell in zip(columns, padded, strict=False)}))
    return CsvTable(encoding, delimiter, columns, tuple(rows), tuple(faults))


def _decoded(content: bytes) -> tuple[str, str]:
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise InputError([Fault("file", "it is in UTF-16", "save it as CSV in UTF-8")])
    try:
        return content.decode("utf-8-sig"), "UTF-8"
    except UnicodeDecodeError:
        pass
    try:
        return content.decode("cp1252"), "Windows-1252"
    except UnicodeDecodeError:
        what = "it is neither in UTF-8 nor in Windows-1252"
        raise InputError([Fault("file", what, "save it as CSV in UTF-8")]) from None


def _lines(text: str, delimiter: str) -> list[tuple[int, list[str]]]:
    """Each line that says anything, with its number: one with line ends in quotes is counted where it begins."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    lines, begins = [], 1
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                lines.append((begins, cells))
            if len(lines) > MOST_ROWS + 1:
                break
            begins = reader.line_num + 1
    except csv.Error:
        what = "its quotes do not match, or a cell is too long"
        right = 'put texts in "…", and a quote within them twice'
        raise InputError([Fault(f"line {begins}", what, right)]) from None
    return lines


def _check_columns(
    line: int, names: Sequence[str], columns: Sequence[str], wanted: Sequence[str], needed: Sequence[str]
) -> None:
    known = f"give {', '.join(wanted)}"
    faults = []
    for i, (name, column) in enumerate(zip(names, columns, strict=True)):
        where = f"line {line}, column {i + 1}"
        if column not in wanted:
            faults.append(Fault(where, f"there is no column {name.strip()[:40]!r}", known))
        elif column in columns[:i]:
            faults.append(Fault(where, f"the column {column} is there twice", "name each column once"))
    faults += [
        Fault(f"line {line}", f"the column {column} is lacking", known) for column in needed if column not in columns
    ]
    if faults:
        raise InputError(faults)
