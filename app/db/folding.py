"""Text as it is looked for: without case and accents."""

import re
import unicodedata

_WORD = re.compile(r"\w+")


def folded_words(text: str) -> list[str]:
    """The words of the text, in small letters and without accents."""
    plain = unicodedata.normalize("NFKD", text.casefold())
    return _WORD.findall("".join(char for char in plain if not unicodedata.combining(char)).replace("_", " "))


def sought_text(*texts: str) -> str:
    """All words, each with a blank before it, so that a prefix of any word is found by one ``LIKE``."""
    return "".join(f" {word}" for text in texts for word in folded_words(text))
