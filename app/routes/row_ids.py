"""The number of a table's row, in an address or its query."""

from typing import Annotated

from fastapi import Path, Query

MOST = 2**31 - 1
"""What a column of ids can hold in every database; the database's driver fails on a larger one."""

RowId = Annotated[int, Path(ge=0, le=MOST)]
AskedRowId = Annotated[int, Query(ge=0, le=MOST)]
"""The same where it stands behind the question mark."""
