"""A table as a CSV file."""

import csv
import io
from collections.abc import Iterable, Sequence

from fastapi.responses import Response


def csv_file(name: str, columns: Sequence[str], rows: Iterable[tuple[str, ...]]) -> Response:
    """``name``: of the file, without its ending."""
    out = io.StringIO()
    csv.writer(out).writerows([columns, *(_plain(row) for row in rows)])
    headers = {"Content-Disposition": f'attachment; filename="{name}.csv"'}
    return Response(out.getvalue(), media_type="text/csv", headers=headers)


def _plain(row: tuple[str, ...]) -> list[str]:
    """A cell that a spreadsheet would take for a formula is kept a text."""
    return [f"'{cell}" if cell[:1] in ("=", "+", "-", "@", "\t", "\r") else cell for cell in row]
