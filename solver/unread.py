"""What stands in for a text that could not be read, so that the rest of a file is still checked."""


class Unread(str):
    """Equal to nothing but itself: it repeats no other id, and a reference to it or past it is not judged."""

    __slots__ = ()

    def __eq__(self, other: object) -> bool:
        return self is other

    def __ne__(self, other: object) -> bool:
        return self is not other

    def __hash__(self) -> int:
        return id(self)
