"""A page as axe-core judges it."""

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

RULES = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]}
"""WCAG 2.2 AA, and what axe-core calls best practice."""


def nothing_found(page: Page) -> None:
    """As it is now shown, at its present width."""
    results = Axe().run(page, options=RULES)
    assert results.violations_count == 0, results.generate_report()


def nothing_found_here(page: Page) -> None:
    """The same, and nothing is wider than the screen."""
    nothing_found(page)
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")


def nothing_found_at(page: Page, *widths: int) -> None:
    """The same at each of these widths."""
    for width in widths:
        page.set_viewport_size({"width": width, "height": 900})
        nothing_found_here(page)
