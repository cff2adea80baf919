"""Every worksheet, one file a strand."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from trainer.worksheets.catalog import alarms, burdens, counts, flow, levels, ranges, scaling_blocks, sensors, signals
from trainer.worksheets.worksheet import Worksheet

WORKSHEETS: Mapping[str, Worksheet] = MappingProxyType(
    {
        sheet.name: sheet
        for strand in (sensors, signals, burdens, ranges, levels, flow, counts, scaling_blocks, alarms)
        for sheet in vars(strand).values()
        if isinstance(sheet, Worksheet)
    }
)
