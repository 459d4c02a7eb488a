"""Any text as one line that every terminal can show."""


def one_line(text: str, most: int = 300) -> str:
    """The text with line breaks, control and other unprintable characters escaped, cut after ``most`` characters."""
    if len(text) <= most and text.isprintable():
        return text
    shown = "".join(_shown(char) for char in text[: most + 1])
    return shown if len(shown) <= most else f"{shown[:most]}…"


def _shown(char: str) -> str:
    return char if char.isprintable() else char.encode("unicode_escape").decode("ascii")
