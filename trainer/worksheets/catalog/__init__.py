"""Worksheets that need more than arithmetic; the others are data in the question banks."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from trainer.worksheets.catalog import (
    alarm_delays,
    alarm_readings,
    alarms,
    contacts,
    copies,
    entity_values,
    lead_faults,
    lead_sorting,
    ranges,
    records,
    spotting,
    unit_choice,
    work_orders,
)
from trainer.worksheets.worksheet import Worksheet

WORKSHEETS: Mapping[str, Worksheet] = MappingProxyType(
    {
        sheet.name: sheet
        for strand in (
            lead_sorting,
            lead_faults,
            ranges,
            alarms,
            alarm_readings,
            alarm_delays,
            contacts,
            copies,
            entity_values,
            records,
            spotting,
            unit_choice,
            work_orders,
        )
        for sheet in vars(strand).values()
        if isinstance(sheet, Worksheet)
    }
)
