"""Every worksheet, one file a strand."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from trainer.worksheets.catalog import (
    alarms,
    burdens,
    choosing,
    choosing_builds,
    choosing_wiring,
    counts,
    curves,
    elements,
    extension,
    flow,
    injections,
    lead_errors,
    lead_faults,
    lead_sorting,
    leads,
    levels,
    load_cells,
    ranges,
    scaling_blocks,
    sensors,
    signals,
    thermistors,
    thermocouples,
    three_wires,
    tolerances,
)
from trainer.worksheets.worksheet import Worksheet

WORKSHEETS: Mapping[str, Worksheet] = MappingProxyType(
    {
        sheet.name: sheet
        for strand in (
            sensors,
            curves,
            tolerances,
            injections,
            thermocouples,
            elements,
            thermistors,
            load_cells,
            choosing,
            choosing_wiring,
            choosing_builds,
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
