"""Every worksheet, one file a strand."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from trainer.worksheets.catalog import (
    alarms,
    burdens,
    counts,
    extension,
    flow,
    lead_errors,
    lead_faults,
    lead_sorting,
    leads,
    levels,
    ranges,
    scaling_blocks,
    sensors,
    signals,
    three_wires,
)
from trainer.worksheets.worksheet import Worksheet

WORKSHEETS: Mapping[str, Worksheet] = MappingProxyType(
    {
        sheet.name: sheet
        for strand in (
            sensors,
            leads,
            lead_errors,
            three_wires,
            lead_sorting,
            lead_faults,
            extension,
            signals,
            burdens,
            ranges,
            levels,
            flow,
            counts,
            scaling_blocks,
            alarms,
        )
        for sheet in vars(strand).values()
        if isinstance(sheet, Worksheet)
    }
)
