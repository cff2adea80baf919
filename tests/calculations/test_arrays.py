"""Every calculation on signals, alarms, loops and calibration does an array element by element."""

from __future__ import annotations

import numpy as np
import pytest

from trainer.calculations import (
    alarm_settings,
    alarms,
    burdens,
    calibration,
    contacts,
    counts,
    fault_levels,
    flow,
    loops,
    response,
    signals,
    uncertainty,
)

NUMBERS = np.array([[-2.5, 0.0, 0.3], [3.7, 12.0, 21.5]])
FRACTIONS = np.array([[0.0, 0.01, 0.25], [0.5, 0.8, 0.99]])
STATES = np.array([[False, True], [True, False]])
BLOCK = counts.scaling(819, 4095, -40.0, 40.0)
CORRECTION = calibration.correction((0.9, 122.34), (0.0, 120.0))


@pytest.mark.parametrize(
    ("calculation", "array"),
    [
        (lambda x: signals.fraction(x, -30.0, 50.0), NUMBERS),
        (lambda x: signals.value_at(x, 50.0, -30.0), FRACTIONS),
        (lambda x: signals.signal_from_value(x, -30.0, 50.0, signals.V_1_5), NUMBERS),
        (lambda x: signals.value_from_signal(x, 50.0, -30.0), NUMBERS),
        (fault_levels.band, NUMBERS),
        (fault_levels.limited, NUMBERS),
        (burdens.burden_voltage, NUMBERS),
        (lambda x: burdens.burden_error(x, 150.0, 252.5), NUMBERS),
        (lambda x: flow.flow_fraction(x, cut_off=0.2), NUMBERS),
        (flow.pressure_fraction, FRACTIONS),
        (lambda x: alarms.reset_value(x, 0.8, "falling"), NUMBERS),
        (lambda x: alarm_settings.time_to_alarm(x, 0.5, 30.0, 4.0), NUMBERS),
        (lambda x: alarm_settings.longest_delay(62.0, 71.0, x + 0.1, 120.0), FRACTIONS),
        (lambda x: alarm_settings.smallest_deadband(x, 0.1), FRACTIONS),
        (lambda x: contacts.energized(x, "de-energized in alarm"), STATES),
        (lambda x: contacts.energized(x, "energized in alarm", powered=False), STATES),
        (lambda x: contacts.closed(x, "normally closed"), STATES),
        (contacts.input_on, STATES),
        (lambda x: contacts.input_on(x, "wire cut"), STATES),
        (lambda x: contacts.input_on(x, "wires shorted"), STATES),
        (lambda x: contacts.load_current(x, 230.0, 0.5), FRACTIONS),
        (lambda x: contacts.inrush_current(x, 6.0), FRACTIONS),
        (lambda x: contacts.suppressor_leakage(x, 50.0, 0.1), FRACTIONS),
        (lambda x: counts.counts(x, 20.0, 12), NUMBERS),
        (BLOCK.value, NUMBERS),
        (BLOCK.count, NUMBERS),
        (lambda x: loops.highest_resistance(x, 10.0), NUMBERS),
        (lambda x: loops.longest_cable(x, 250.0, 33.29), NUMBERS),
        (lambda x: loops.saturation_current(x, 10.0, 760.0), NUMBERS),
        (lambda x: loops.leak_across_burden(x, 250.0, 2000.0), NUMBERS),
        (lambda x: loops.leak_across_transmitter(x, 24.0, 286.0, 2000.0), NUMBERS),
        (lambda x: loops.loaded_voltage(x, 100.0, 1e4), NUMBERS),
        (lambda x: loops.earth_difference_error(x, 100.0, signals.V_1_5), NUMBERS),
        (lambda x: response.after_step(x, 5.0, 20.0, 70.0), FRACTIONS),
        (lambda x: response.time_to_fraction(x, 5.0), FRACTIONS),
        (lambda x: response.time_to_value(x, 5.0, -1.0, 1.0), FRACTIONS),
        (lambda x: response.ramp_lag(x, 35.0, 5.0), NUMBERS),
        (lambda x: response.after_step_two_lags(x, 5.0, 3.0), FRACTIONS),
        (lambda x: response.after_step_two_lags(x, 5.0, 5.0), FRACTIONS),
        (lambda x: response.attenuation(x, 0.4), NUMBERS),
        (lambda x: response.averaged(x, 9), NUMBERS),
        (lambda x: calibration.percent_error(x, 4.0, 16.0), NUMBERS),
        (CORRECTION.true, NUMBERS),
        (lambda x: calibration.specification_limit(x, 250.0, of_reading=0.1, fixed=0.1), NUMBERS),
        (uncertainty.from_expanded, FRACTIONS),
        (uncertainty.from_limits, FRACTIONS),
        (uncertainty.from_resolution, FRACTIONS),
        (uncertainty.expanded, FRACTIONS),
        (lambda x: uncertainty.uncertainty_ratio(x, 0.4), FRACTIONS),
    ],
)
def test_an_array_equals_its_elements(calculation, array):
    one_by_one = [calculation(element) for element in array.ravel().tolist()]
    assert not any(isinstance(one, np.generic) for one in one_by_one)
    together = calculation(array)
    assert together.shape == array.shape
    if isinstance(one_by_one[0], float):
        assert together.ravel() == pytest.approx(one_by_one, rel=1e-14)
    else:
        assert together.ravel().tolist() == one_by_one
