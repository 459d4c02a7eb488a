"""A table as a CSV file."""

import csv
import io
import re
from collections.abc import Iterable, Sequence

from fastapi import HTTPException
from fastapi.responses import Response

from app.views.use.tables import Table

_FORMULA = re.compile(r"[=+\-@\t\r\n＝＋－＠]")
_NEGATIVE = re.compile(r"-[0-9]+(\.[0-9]+)?")


def csv_file(name: str, columns: Sequence[str], rows: Iterable[tuple[str, ...]]) -> Response:
    """``name``: of the file, without its ending. A byte-order mark tells spreadsheets that it is UTF-8."""
    out = io.StringIO()
    csv.writer(out).writerows([columns, *(_plain(row) for row in rows)])
    headers = {"Content-Disposition": f'attachment; filename="{name}.csv"'}
    return Response(out.getvalue().encode("utf-8-sig"), media_type="text/csv", headers=headers)


def table_csv(name: str, table: Table | None) -> Response:
    """404 where there is no such table."""
    if table is None:
        raise HTTPException(404)
    return csv_file(name, table.columns, table.rows)


def _plain(row: tuple[str, ...]) -> list[str]:
    """A cell that a spreadsheet would take for a formula is kept a text; a number below 0 is none."""
    return [f"'{cell}" if _FORMULA.match(cell) and not _NEGATIVE.fullmatch(cell) else cell for cell in row]
