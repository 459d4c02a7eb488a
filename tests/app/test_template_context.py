"""Templates read their documented views and nothing else."""

import hashlib
from collections.abc import Iterator
from dataclasses import fields, is_dataclass, replace
from datetime import date

import pytest
from jinja2 import StrictUndefined, UndefinedError, meta

from app.settings import Settings
from app.templating import environment
from app.views.choices import Choices
from app.views.dates import dates_around
from app.views.page import DayPage, day_page, plan_form
from app.views.parts import Planned
from app.views.shell import Room, Shell
from app.views.summary import ProgressView, aim_lines
from tests.app.clinic_days import planned

TEMPLATES = environment(Settings.found().templates)
RUNNING = ProgressView(True, False, 40, 8, 20, "now making small: minutes from wish", (), "", ())
MACROS = {"choice", "field", "group"}
NAMES = {
    "base.html": {"shell"},
    "pages/accounts.html": {"accounts", "roles", "staff", "given", "faults", "refused", "address", "of"},
    "pages/audit.html": {"rows", "actors", "asked", "older", "newest"},
    "pages/day.html": {"page"},
    "pages/no_day.html": {"title", "state", "faults"},
    "pages/refused.html": {"title", "lines"},
    "pages/set_password.html": {"own", "name", "faults", "address", "least"},
    "pages/plain_form.html": {"form", "trail"},
    "partials/broken.html": {"broken"},
    "pages/sign_in.html": {"shell", "fault", "to", "name"},
    "partials/dates.html": {"dates"},
    "partials/plan_again.html": {"form"},
    "partials/progress.html": {"progress", "cancel", "may_plan", "proposal"},
    "partials/refused.html": {"title", "lines"},
    "partials/detail.html": {"detail", "page"},
    "partials/unit.html": {"page", "unit"},
    "partials/timeline.html": {"page"},
}


def page(clinic: Planned, chosen: Choices) -> DayPage:
    return day_page(clinic, "planned", 3, chosen, 602)


def render(shown: DayPage, progress: ProgressView | None = None, fault: str = "") -> str:
    faults = ("step_min: 7 is no step; give 1, 5, 10 or 15",) if fault else ()
    form = plan_form(planned(), Choices(), seconds="20", most=120, fault=fault, faults=faults, progress=progress)
    shell = Shell(clinic="Rowan Street", rooms=(Room("Day", "/", True),), who="desk", role="front desk", invented=True)
    dates = dates_around(date(2031, 3, 4), date(2031, 3, 4))
    return TEMPLATES.get_template("pages/day.html").render(page=shown, form=form, shell=shell, dates=dates)


@pytest.mark.parametrize(
    "chosen",
    [
        Choices(),
        Choices(table=True),
        Choices(unit="U1", zoom=60),
        Choices(place="back"),
        Choices(staff="A1"),
        Choices(patient="1", at="09:10"),
        Choices(part="V3.p2"),
    ],
)
def test_every_view_of_the_page_renders_from_its_dataclasses_alone(chosen: Choices) -> None:
    assert "Tuesday 4 March 2031" in render(page(planned(), chosen))


@pytest.mark.parametrize("progress", [RUNNING, replace(RUNNING, running=False, message="Finished: plan 4.")])
def test_a_search_renders_running_and_ended(progress: ProgressView) -> None:
    lines = aim_lines(("wish",), {"wish": 215}, {"wish": 161})
    html = render(page(planned(), Choices()), replace(progress, aims=lines))
    assert ("at least 161" in html) == progress.running


def test_faults_render_one_line_each() -> None:
    assert "<li>step_min: 7 is no step; give 1, 5, 10 or 15</li>" in render(page(planned(), Choices()), fault="Wrong.")


@pytest.mark.parametrize("name", sorted(NAMES))
def test_a_template_reads_only_the_names_it_is_given(name: str) -> None:
    assert TEMPLATES.loader is not None
    source = TEMPLATES.loader.get_source(TEMPLATES, name)[0]
    assert meta.find_undeclared_variables(TEMPLATES.parse(source)) - MACROS == NAMES[name]


def test_reading_what_a_view_does_not_have_is_an_error() -> None:
    with pytest.raises(UndefinedError):
        TEMPLATES.from_string("{{ page.no_such_field }}").render(page=page(planned(), Choices()))
    assert TEMPLATES.undefined is StrictUndefined


def views_in(value: object) -> Iterator[object]:
    """Every dataclass that can be reached from a view."""
    if is_dataclass(value) and not isinstance(value, type):
        yield value
        for field in fields(value):
            yield from views_in(getattr(value, field.name))
    elif isinstance(value, tuple):
        for part in value:
            yield from views_in(part)


def test_every_view_is_frozen_and_says_what_it_is() -> None:
    kinds = {type(view) for chosen in (Choices(), Choices(table=True)) for view in views_in(page(planned(), chosen))}
    assert len(kinds) > 20
    for kind in kinds:
        assert kind.__dataclass_params__.frozen, kind  # type: ignore[attr-defined]
        assert kind.__module__.startswith("app.views."), kind


def test_vendored_files_are_the_ones_that_were_published() -> None:
    folder = Settings.found().static / "vendor"
    lines = (folder / "checksums.sha256").read_text(encoding="utf-8").splitlines()
    listed = {name: digest for digest, name in (line.split() for line in lines)}
    assert listed == {
        path.name: hashlib.sha256(path.read_bytes()).hexdigest()
        for path in folder.iterdir()
        if path.name != "checksums.sha256"
    }
