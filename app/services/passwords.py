"""Passwords: what may be one, and their argon2id hashes.

Length and a list of common ones decide, not a mixture of kinds of characters (OWASP ASVS 5.0, chapter 6). The cost is
more than the least that OWASP's password storage advice names for argon2id: 19 MiB, two passes, one lane.
"""

from functools import cache

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError

LEAST, MOST = 12, 200
_HASHES = PasswordHasher(time_cost=2, memory_cost=47_104, parallelism=1)


def fault_in(password: str, name: str, clinic: str) -> str:
    """What keeps it from being the password of this name; empty where nothing does."""
    if len(password) < LEAST:
        return f"it has {len(password)} characters; give at least {LEAST}"
    if len(password) > MOST:
        return f"it has {len(password)} characters; give at most {MOST}"
    plain = password.casefold()
    if plain in _common():
        return "it is one of the most common passwords; choose another"
    if len(set(plain)) < 5 or plain in (plain + plain)[1:-1]:
        return "it repeats itself; choose another"
    for known in (name, clinic):
        if len(known) >= 4 and known.casefold() in plain and len(plain) - len(known) < LEAST // 2:
            return "it is little more than a name; choose another"
    return ""


def hash_of(password: str) -> str:
    return _HASHES.hash(password)


def matches(password: str, password_hash: str | None) -> bool:
    """Takes as long where there is no hash, so that nobody learns which names there are."""
    try:
        _HASHES.verify(password_hash or _nobodys_hash(), password)
    except (VerificationError, InvalidHashError):
        return False
    return password_hash is not None


@cache
def _nobodys_hash() -> str:
    return hash_of("nobody has this password")


@cache
def _common() -> frozenset[str]:
    from zxcvbn.frequency_lists import FREQUENCY_LISTS  # here, since it takes a while and is seldom needed

    return frozenset(FREQUENCY_LISTS["passwords"])
