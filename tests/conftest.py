"""Settings that every test shares: properties are tried on the same cases each time, without a clock, nobody's record is touched, and nobody's units."""

import os
import sys
from collections.abc import Iterator

import pytest
from hypothesis import settings

os.environ["HPTEACH_PROGRESS"] = "off"  # kernels of lessons, servers and commands that a test starts inherit it
os.environ.pop("HPTEACH_UNITS", None)

settings.register_profile("course", deadline=None, derandomize=True)
settings.load_profile("course")


@pytest.fixture(autouse=True)
def _units_of_nobody() -> Iterator[None]:
    """Each test begins as a new kernel does, where nobody has chosen units yet."""
    if module := sys.modules.get("hpteach.panels.unit_choice"):
        module.forget_shared_choice()
    yield
    if module := sys.modules.get("hpteach.panels.unit_choice"):
        module.forget_shared_choice()


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Show what the visits to the lessons in a browser saw, one row for each."""
    reports = [report for some in terminalreporter.stats.values() for report in some if getattr(report, "when", "") == "call"]
    rows = sorted(value for report in reports for name, value in report.user_properties if name == "lesson")
    if rows:
        from tests.browser.lesson_visit import HEADING

        widths = [max(map(len, column)) for column in zip(HEADING, *rows)]
        terminalreporter.section("the lessons in a browser")
        for row in (HEADING, *rows):
            terminalreporter.write_line("  ".join(cell.ljust(width) for cell, width in zip(row, widths)).rstrip())
