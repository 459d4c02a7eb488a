"""Secret tokens: given away once, and kept as their SHA-256 only."""

import secrets
from hashlib import sha256


def new_token() -> str:
    """256 bits from the system's source, as text that fits an address."""
    return secrets.token_urlsafe(32)


def hash_of_token(token: str) -> str:
    return sha256(token.encode("utf-8", "surrogatepass")).hexdigest()
