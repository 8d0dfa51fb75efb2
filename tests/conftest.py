"""What every run of the tests should say first: whether LibreOffice is there to hold the workbooks against."""

from __future__ import annotations

import os
import shutil

import pytest

MISSING = "LibreOffice (soffice) is not installed: no outside program recalculates or prints the workbooks."


def need_libreoffice() -> None:
    """Skip if LibreOffice is missing; fail if FEESHEET_REQUIRE_LIBREOFFICE says that it must be there."""
    if shutil.which("soffice") is None:
        if os.environ.get("FEESHEET_REQUIRE_LIBREOFFICE"):
            pytest.fail(MISSING)
        pytest.skip(MISSING)


@pytest.fixture
def libreoffice() -> None:
    """Tests that ask for it start soffice."""
    need_libreoffice()


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Say last, in red, what a missing LibreOffice left untried."""
    if shutil.which("soffice") is None:
        terminalreporter.write_sep("!", MISSING, red=True, bold=True)
