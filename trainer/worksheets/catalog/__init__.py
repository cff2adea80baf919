"""Every worksheet, one file a strand."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from trainer.worksheets.catalog import (
    alarm_choices,
    alarm_delays,
    alarm_readings,
    alarm_signals,
    alarm_timing,
    alarms,
    burdens,
    choosing,
    choosing_builds,
    choosing_wiring,
    contact_currents,
    contact_loads,
    contacts,
    copies,
    counts,
    curves,
    elements,
    entity_values,
    extension,
    fault_chains,
    fault_signals,
    flow,
    injections,
    lead_errors,
    lead_faults,
    lead_sorting,
    leads,
    levels,
    load_cells,
    ranges,
    records,
    scaling_blocks,
    sensors,
    signals,
    spotting,
    temperature_scales,
    thermistors,
    thermocouples,
    three_wires,
    tolerances,
    unit_choice,
    work_orders,
)
from trainer.worksheets.worksheet import Worksheet

WORKSHEETS: Mapping[str, Worksheet] = MappingProxyType(
    {
        sheet.name: sheet
        for strand in (
            sensors,
            temperature_scales,
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
            alarm_readings,
            alarm_signals,
            alarm_timing,
            alarm_delays,
            alarm_choices,
            contacts,
            contact_loads,
            contact_currents,
            fault_signals,
            fault_chains,
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
