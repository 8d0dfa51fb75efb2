"""The examples in the package's docstrings."""

from __future__ import annotations

import doctest
import importlib
import pkgutil

import pytest

import feesheet

MODULES = sorted(
    info.name
    for info in pkgutil.walk_packages(feesheet.__path__, "feesheet.")
    if not info.name.endswith("__main__")
)


@pytest.mark.parametrize("name", MODULES)
def test_examples_hold(name: str) -> None:
    """Every example gives what its docstring says."""
    assert doctest.testmod(importlib.import_module(name)).failed == 0
