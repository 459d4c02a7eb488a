"""The allocator under Poisson arrivals loses what Erlang's loss formula says."""

import pytest

from tests.outside.poisson_desk import lost_share

# Erlang B, formula and published tables: the share lost with c channels under a erlang.
PUBLISHED = [(1, 0.5, 0.33333), (2, 1, 0.2), (3, 2, 0.21053), (4, 3, 0.20611), (6, 4, 0.11716), (10, 5, 0.01838)]


@pytest.mark.parametrize(("channels", "erlang", "published"), PUBLISHED)
def test_the_allocator_loses_as_published(channels: int, erlang: float, published: float) -> None:
    low, high = lost_share(channels, erlang, days=round(60 / erlang), seed=1)
    assert low < published < high
    assert high - low < 0.06
