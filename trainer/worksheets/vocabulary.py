"""The calculations that an expression may name: what the calculation modules define in the open."""

from __future__ import annotations

from collections.abc import Mapping
from importlib import import_module
from pkgutil import iter_modules
from types import MappingProxyType, ModuleType
from typing import Any

from trainer import calculations


def _defined(module: ModuleType) -> dict[str, Any]:
    """Public functions, classes and constants of a module, not those it imports."""
    short = module.__name__.rpartition(".")[2]
    return {
        f"{short}.{name}": value
        for name, value in vars(module).items()
        if not name.startswith("_")
        and not isinstance(value, ModuleType)
        and getattr(value, "__module__", module.__name__) == module.__name__
    }


def _collect() -> dict[str, Any]:
    found: dict[str, Any] = {}
    for info in iter_modules(calculations.__path__):
        found |= _defined(import_module(f"{calculations.__name__}.{info.name}"))
    return found


CALCULATIONS: Mapping[str, Any] = MappingProxyType(_collect())
