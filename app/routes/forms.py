"""The fields of a form that was sent."""

from collections.abc import AsyncIterator
from typing import Annotated

from fastapi import Depends, HTTPException, Request
from python_multipart.exceptions import FormParserError
from starlette.datastructures import FormData, UploadFile

from app.typed import whole

MOST_FIELDS = 2_000


async def _form(request: Request) -> AsyncIterator[FormData]:
    """Raises 400 where the body is no form. What came as a file is closed when the request is over."""
    try:
        form = await request.form(max_fields=MOST_FIELDS, max_files=1)
    except FormParserError:
        raise HTTPException(400) from None
    yield form
    await form.close()


class Fields:
    """A form's fields as texts; a field that is not there is empty. Raises 400 for a file where a text belongs."""

    def __init__(self, form: Annotated[FormData, Depends(_form)]) -> None:
        self._form = form

    def __getitem__(self, name: str) -> str:
        values = self.all(name)
        return values[0] if values else ""

    def number(self, name: str) -> int | None:
        """The field as a whole number; None where it is none."""
        return whole(self[name])

    def version(self, name: str) -> int:
        """The field as what was read of something; -1, which nothing ever is at, where it is no number."""
        number = self.number(name)
        return -1 if number is None else number

    def __contains__(self, name: object) -> bool:
        return name in self._form

    def all(self, name: str) -> list[str]:
        """Every value of the field, in the form's order."""
        values = self._form.getlist(name)
        if any(isinstance(value, UploadFile) for value in values):
            raise HTTPException(400)
        return [str(value).strip() for value in values]

    def names(self) -> list[str]:
        """The names of all fields, once each."""
        return list(dict.fromkeys(self._form.keys()))

    def raw(self, name: str) -> str:
        """The field as it was typed, with the space around it; for passwords."""
        value = self._form.get(name, "")
        return value if isinstance(value, str) else ""

    def file(self, name: str) -> bytes | None:
        """The content of a file that came with the form; None where there is none."""
        value = self._form.get(name)
        return value.file.read() if isinstance(value, UploadFile) and value.filename else None


Form = Annotated[Fields, Depends(Fields)]
