"""Names as long as a form takes, without a blank: no page runs over on a phone, and no picture over its edge."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import NamedTuple

import pytest
from playwright.sync_api import Page

from app.services.patients import make_patient
from app.services.setup.changing import effects_of, save_change
from app.services.setup.filled import filled_set_up
from app.services.setup.things import SaveThing
from app.services.upkeep.noting import UpkeepForm, note_upkeep
from app.services.use.counting import count_day
from tests.app.clinic_days import DATE, plan_at_once, store_of
from tests.app.use_days import AFTER, record, the_day_after
from tests.browser.conftest import Served

pytestmark = [pytest.mark.browser, pytest.mark.slow]
OVER = """[document.documentElement.scrollWidth - innerWidth, ...[...document.querySelectorAll('svg.picture')].map(
  one => Math.max(0, ...[...one.querySelectorAll('text')].map(text => text.getBBox().x + text.getBBox().width))
    - one.viewBox.baseVal.width)]"""


class Long(NamedTuple):
    """Where it is served, and the id of a patient with a long name."""

    origin: str
    patient: int


@pytest.fixture(scope="module")
def served_long(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Long]:
    server = Served(tmp_path_factory.mktemp("long"), plan_at_once, the_day_after)
    store = store_of(server.app)
    known = filled_set_up(store)
    for thing in (*known.units, *known.places, *known.applicators, *known.staff):
        change = SaveThing(form=replace(thing.form, name="Longname" * 24), read=thing.version)
        save_change(store, change, actor="test", shown=effects_of(store, change).digest)
    patient = make_patient(store, "Longname" * 9, actor="test").id
    note_upkeep(
        store,
        UpkeepForm(thing="unit:U1", kind="service", done="2031-01-01", due="2031-02-01", note="n" * 190),
        actor="test",
        today=DATE,
    )
    record(store)
    count_day(store, DATE, AFTER)
    yield Long(server.origin, patient)
    server.stop()


@pytest.mark.parametrize(
    "address",
    [
        f"/use?from={DATE}&to={DATE}",
        "/use/upkeep",
        f"/day/{DATE}",
        f"/day/{DATE}?as=table",
        f"/floor/{DATE}",
        "/openings?patient={patient}&what=t1",
        "/patients?q=Longname",
        "/patients/{patient}",
        "/set-up",
        "/set-up/unit/form?code=U1",
        "/accounts",
    ],
)
def test_long_names_stay_within_the_page_and_within_pictures(
    served_long: Long, open_page: Callable[..., Page], address: str
) -> None:
    page = open_page(served_long.origin + address.format(patient=served_long.patient), 390, role="administrator")
    page.evaluate("document.querySelectorAll('details').forEach(each => { each.open = true })")
    assert "Longname" in page.locator("main").inner_text()
    assert max(page.evaluate(OVER)) <= 0


def test_names_on_the_floor_stay_within_their_cards(served_long: Long, open_page: Callable[..., Page]) -> None:
    page = open_page(f"{served_long.origin}/floor/{DATE}", 390, role="manager")
    named = page.locator(".unit-card h3, .upkeep-due li")
    assert named.count() >= 3
    for number in range(named.count()):
        box = named.nth(number).bounding_box()
        assert box is not None
        assert box["x"] + box["width"] <= 390
