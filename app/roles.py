"""The roles of people who use Channelday."""

from typing import Literal, get_args

Role = Literal["desk", "therapist", "manager", "administrator"]
ROLES: tuple[Role, ...] = get_args(Role)
ROLE_WORDS: dict[Role, str] = {
    "desk": "front desk",
    "therapist": "therapist",
    "manager": "manager",
    "administrator": "administrator",
}
