"""The number of a table's row in an address."""

from typing import Annotated

from pydantic import Field

RowId = Annotated[int, Field(ge=0, le=2**31 - 1)]
"""What a column of ids can hold in every database; the database's driver fails on a larger one."""
