"""Every worksheet, one file a strand."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from trainer.worksheets.catalog import alarms, sensors, signals
from trainer.worksheets.worksheet import Worksheet

WORKSHEETS: Mapping[str, Worksheet] = MappingProxyType(
    {
        sheet.name: sheet
        for strand in (sensors, signals, alarms)
        for sheet in vars(strand).values()
        if isinstance(sheet, Worksheet)
    }
)
