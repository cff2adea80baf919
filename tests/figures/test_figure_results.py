"""What a solved figure works out, against standards, published tables and results by hand."""

import pytest
from figure_cases import CASES, FIVE, LOOP, value

from trainer.figures import words
from trainer.units import NO_BREAK_SPACE


def said(name, values, form="solved"):
    return words(name, values, form).replace(NO_BREAK_SPACE, " ")


# IEC 60751:2022, table of tolerance classes: A and B at some temperatures
@pytest.mark.parametrize(
    ("base", "slope", "temperature", "permitted"),
    [(0.3, 0.005, -200.0, "1.30"), (0.3, 0.005, 100.0, "0.80"), (0.15, 0.002, 300.0, "0.75")],
)
def test_a_band_tells_the_error_that_a_class_permits(base, slope, temperature, permitted):
    difference = value(base, "°C (difference)", 2)
    values = {"base": difference, "per_degree": value(slope, "", 3), "temperature": value(temperature, "°C")}
    assert f"±{permitted} °C is permitted" in said("error band", values)


# ASTM E230, type K, standard limits: the greater of 2.2 °C and 0.75 %
@pytest.mark.parametrize(("temperature", "permitted"), [(100.0, "2.20"), (293.0, "2.20"), (1000.0, "7.50")])
def test_a_band_takes_the_greater_of_two_limits(temperature, permitted):
    fixed, percent = value(2.2, "°C (difference)", 1), value(0.75, "%", 2)
    told = said("error band", {"fixed": fixed, "percent": percent, "temperature": value(temperature, "°C")})
    assert f"±{permitted} °C is permitted" in told


@pytest.mark.parametrize(("error", "side"), [(0.79, "inside"), (-0.79, "inside"), (0.8, "outside"), (-0.9, "outside")])
def test_an_error_found_lies_inside_or_outside(error, side):
    case = CASES["error of a class"]
    told = said("error band", case.given | {"error": value(error, "°C (difference)", 2)})
    assert f"lies {side} the band" in told


# NIST Monograph 175 (1993), reference tables in mV, reference junction at 0 °C
@pytest.mark.parametrize(
    ("kind", "hot", "emf"),
    [("K", 100.0, "4.096"), ("J", 200.0, "10.779"), ("T", 100.0, "4.279"), ("S", 1000.0, "9.587")],
)
def test_a_loop_tells_the_emf_of_the_table(kind, hot, emf):
    loop = {"kind": value(kind), "hot": value(hot, "°C"), "terminal": value(0.0, "°C")}
    assert f"at the terminals {emf} mV" in said("thermocouple loop", loop)
    backwards = loop | {"emf": value(float(emf), "mV", 3)}
    del backwards["hot"]
    assert f"junction {hot:.1f} °C" in said("thermocouple loop", backwards)


def test_a_loop_follows_the_kind_of_the_cable():
    # NIST Monograph 175: type K 4.096 mV at 100 °C, 2.023 mV at 50 °C, 0 mV at 0 °C; type J 2.585 mV at 50 °C
    loop = {name: value(number, "°C") for name, number in (("hot", 100.0), ("head", 50.0), ("terminal", 0.0))}
    loop["kind"] = value("K")
    assert "2.073 mV, 2.023 mV; at the terminals 4.096 mV" in said("thermocouple loop", loop)
    assert "2.073 mV, 2.585 mV; at the terminals 4.658 mV" in said("thermocouple loop", loop | {"cable": value("J")})
    assert "2.073 mV, 0.000 mV" in said("thermocouple loop on copper", loop)
    assert "2.073 mV, −2.023 mV; at the terminals 0.050 mV" in said("crossed thermocouple loop", loop)


# by hand from the circuits: two wires a + c, three wires a - c, with matched currents a - b, four wires nothing
@pytest.mark.parametrize(
    ("wires", "seen"),
    [
        ("two-wire", "103.60"),
        ("three-wire", "101.40"),
        ("three-wire, matched currents", "100.70"),
        ("two matched currents, in by a and by b", "100.70"),
        ("four-wire", "100.00"),
    ],
)
def test_wiring_tells_what_the_input_sees(wires, seen):
    leads = {"a": value(2.5, "Ω", 2), "b": value(1.8, "Ω", 2), "c": value(1.1, "Ω", 2), "d": value(0.4, "Ω", 2)}
    told = said("sensor wiring", leads | {"wires": value(wires), "element": value(100.0, "Ω", 2)})
    assert f"The input sees {seen} Ω." in told


# by hand: a quarter of the pressure is half of the flow
@pytest.mark.parametrize(("signal", "flow"), [(4.0, "0.0"), (8.0, "50.0"), (13.0, "75.0"), (20.0, "100.0")])
def test_one_root_is_taken_of_the_signal(signal, flow):
    assert f"belongs to the flow {flow} %" in said("square root", {"signal": value(signal, "mA", 2)})


def test_flow_below_the_cut_off_is_none():
    # by hand: 4.16 mA is 1 % of pressure, 10 % of flow
    values = {"signal": value(4.1, "mA", 2), "cut_off": value(10.0, "%")}
    assert "belongs to the flow 0.0 %" in said("square root", values)
    assert "belongs to the flow 7.9 %" in said("square root", {"signal": values["signal"]})


# by hand: 2^n - 1 counts over the full scale
@pytest.mark.parametrize(
    ("bits", "full_scale", "top", "step"),
    [(12.0, 10.0, "4095", "2.442"), (16.0, 10.0, "65535", "0.153"), (8.0, 5.0, "255", "19.608")],
)
def test_a_stair_tells_its_top_and_the_size_of_a_count(bits, full_scale, top, step):
    told = said("counts staircase", {"bits": value(bits, "bits"), "full_scale": value(full_scale, "V")})
    assert f"The top count is {top}; one count stands for {step} mV." in told


# NAMUR NE 43, edition of 2003
@pytest.mark.parametrize(
    ("current", "band"),
    [
        (0.0, "fault low"),
        (3.6, "fault low"),
        (3.7, "between"),
        (3.8, "under-range"),
        (4.0, "measuring"),
        (20.0, "measuring"),
        (20.5, "over-range"),
        (20.8, "between"),
        (21.0, "fault high"),
        (30.0, "fault high"),
    ],
)
def test_a_current_lies_in_its_band(current, band):
    assert f"lies in this band: {band}." in said("fault levels", {"current": value(current, "mA", 1)})


def test_a_current_between_is_drawn_on_its_own_side():
    # NAMUR NE 43: 3.6 to 3.8 mA and 20.5 to 21 mA are both undefined
    from trainer.figures.fault_levels import _row

    assert [_row(current) for current in (3.0, 3.7, 3.9, 12.0, 20.2, 20.7, 22.0)] == list(range(7))


def test_voltages_round_a_loop_make_the_supply():
    # by hand: 0.012 A through 250 Ω and 15 Ω; 24 - 3.00 - 2 × 0.18 = 20.64
    assert "burden 3.00 V, each wire 0.18 V, transmitter 20.64 V" in said("loop drawing", LOOP)


def test_an_open_loop_has_no_drops():
    told = said("loop drawing", LOOP | {"open": value("wire back")})
    assert "The loop is open here: wire back." in told
    assert "Voltage across" not in told


def test_leaks_change_what_the_burden_carries():
    # by hand: 12 × 2250 / 2500 = 10.8 mA; 12 + 20 V / 10 kΩ = 14 mA
    beside_burden = {"leak_burden": value(2250.0, "Ω"), "current": LOOP["current"], "burden": LOOP["burden"]}
    assert "The burden carries 10.80 mA" in said("loop drawing", beside_burden)
    beside = {"leak_transmitter": value(10.0, "kΩ"), "current": LOOP["current"], "across": value(20.0, "V")}
    assert "The burden carries 14.00 mA" in said("loop drawing", beside)


# 1 - e^-n after n time constants: 63.2, 86.5, 95.0, 98.2, 99.3 %
@pytest.mark.parametrize(
    ("constants", "reading"), [(1.0, "63.2"), (2.0, "86.5"), (3.0, "95.0"), (4.0, "98.2"), (5.0, "99.3")]
)
def test_a_step_covers_the_known_shares(constants, reading):
    step = {"start": value(0.0, "%"), "end": value(100.0, "%"), "constant": value(10.0, "s")}
    assert f"reads {reading} % after" in said("step response", step | {"time": value(10.0 * constants, "s")})


def test_times_keep_the_unit_of_the_constant():
    # by hand: half of a step takes ln 2 = 0.693 time constants
    step = {"start": value(100.0, "°F"), "end": value(60.0, "°F"), "constant": value(2.0, "min")}
    assert "It reads 80 °F after 1.4 min." in said("step response", step | {"target": value(80.0, "°F")})


def test_a_ramp_is_late_by_all_that_lags_and_waits():
    # by hand: 3 °C/min × 80 s = 4.0 °C; falling at 0.5 bar/min, 12 s: 0.10 bar
    rising = {"rate": value(3.0, "°C/min"), "sensor": value(40.0, "s"), "filter": value(20.0, "s")}
    told = said("ramp lag", rising | {"delay": value(20.0, "s"), "set_point": value(90.0, "°C")})
    assert "It is 80 s late; by then the true value has gone 4.00 °C past the level." in told
    assert "The true value is then 94.00 °C." in told
    falling = {"rate": value(-0.5, "bar/min", 1), "constant": value(12.0, "s"), "reading": value(6.0, "bar", 1)}
    assert "The true value is then 5.90 bar." in said("ramp lag", falling)


def test_outputs_are_turned_into_errors():
    # by hand: 0.08 mA of 16 mA is 0.5 %
    outputs = {"signal_low": value(4.0, "mA"), "signal_high": value(20.0, "mA"), "limit": value(0.5, "%", 1)}
    outputs["up"] = value((4.08, 8.0, 11.92, 16.0, 20.0), "mA", 2)
    told = said("calibration errors", outputs | {"points": FIVE})
    assert "Errors up: 0.50; 0.00; −0.50; 0.00; 0.00. All of them lie within the limits." in told
    assert "4.08 mA; 8.00 mA" in said("calibration errors", outputs | {"points": FIVE}, "open")


def test_contributions_are_combined_as_root_of_squares():
    # 3, 4 and 12 make 13
    values = {name: value(number, "mV", 1, name) for name, number in (("first", 3.0), ("second", 4.0), ("third", 12.0))}
    assert "root of the sum of squares: 13.0 mV" in said("uncertainty budget", values)


def test_candidates_serve_up_to_the_line():
    values = {"allowed": value(1.0, "K (difference)", 1), "numbers": value((1.2, 1.0, 0.4), "K (difference)", 1)}
    told = said("candidates", values | {"names": value(("rod", "head", "patch"))})
    assert "Within it: head, patch." in told


# common practice: only de-energized in alarm with a contact that opens shows a lost supply and a cut wire
@pytest.mark.parametrize(
    ("coil", "contact", "inputs"),
    [
        ("energized in alarm", "normally open", ("off", "on", "off", "off")),
        ("energized in alarm", "normally closed", ("on", "off", "on", "off")),
        ("de-energized in alarm", "normally open", ("on", "off", "off", "off")),
        ("de-energized in alarm", "normally closed", ("off", "on", "on", "off")),
    ],
)
def test_a_contact_does_in_each_state_what_it_is_wired_for(coil, contact, inputs):
    told = said("relay contact", {"coil": value(coil), "contact": value(contact)})
    lines = [line for line in told.split(". ") if "input " in line and ": coil" in line]
    assert [line.rstrip(".").rpartition(" ")[2] for line in lines] == list(inputs)


def test_a_delay_that_is_broken_off_is_told_like_one_that_acts():
    # by hand: due from 10 + 6 × 3.0 / 3.75 = 14.8 s to 16 + 4 × 0.75 / 1.5 = 18.0 s, less than the 12 s
    told = said("alarm trace", CASES["over a trace"].given)
    assert "A delay runs from 14.8 s to 18.0 s, from 33.8 s to 45.8 s, from 91.7 s to 97.7 s" in told


# by hand: 16 mA over 80 °C are 0.2 mA for a degree, from 4 mA at −30 °C
@pytest.mark.parametrize(
    ("level", "signal"), [(-30.0, "4.00"), (-14.0, "7.20"), (-19.5, "6.10"), (50.0, "20.00"), (55.0, "21.00")]
)
def test_levels_have_their_signals(level, signal):
    case = CASES["signals of a setup asked"]
    told = said(case.name, case.given | {"names": value(("trip",)), "levels": value((level,), "°C", 1)})
    assert f"trip: {level:.1f} °C, {signal} mA.".replace("-", "−") in told
    # 21.5 mA are 17.5 mA above the zero: 87.5 °C above −30 °C
    assert "A break drives 21.5 mA, which reads as 57.5 °C." in told


# Kirchhoff: the difference of two grounds is in series with the signal; 0.2 V of 4 V are 5 %, of 800 °C 40 °C
@pytest.mark.parametrize(
    ("at_sensor", "at_card", "isolated", "told"),
    [
        ("yes", "yes", "no", "Grounds on one path: 2; error 5.00 % of span = 40.0 °C."),
        ("yes", "yes", "yes", "Grounds on one path: 1; error 0.00 % of span = 0.0 °C."),
        ("no", "yes", "no", "Grounds on one path: 1; error 0.00 %"),
        ("yes", "no", "no", "Grounds on one path: 1; error 0.00 %"),
        ("yes", "no", "yes", "Grounds on one path: 0; error 0.00 %"),
    ],
)
def test_two_grounds_on_one_path_are_an_error(at_sensor, at_card, isolated, told):
    places = {"at_sensor": value(at_sensor), "at_card": value(at_card), "isolated": value(isolated)}
    assert told in said("two grounds", CASES["grounds asked"].given | places)


# by hand: 100 mm and 10 mm for each of 25 m, 8 m, no meter
@pytest.mark.parametrize(("meters", "needed"), [(25.0, "350"), (8.0, "180"), (0.0, "100")])
def test_separation_grows_with_the_meters_alongside(meters, needed):
    told = said("cable route", CASES["separation asked"].given | {"alongside": value(meters, "m")})
    assert told.endswith(f"Separation: {needed} mm.")


# by hand: 25 + 45 + 150 = 220, 450 - 220 = 230; 25 + 45 + 480 = 550, 100 more than 450
@pytest.mark.parametrize(
    ("person", "told"),
    [
        (150.0, "person 150 s; 220 s; left 230 s."),
        (480.0, "person 480 s; 550 s; over by 100 s."),
        (380.0, "450 s; left 0 s."),
    ],
)
def test_parts_end_before_or_beyond_the_line(person, told):
    case = CASES["room to a line asked"]
    assert told in said(case.name, case.given | {"amounts": value((25.0, 45.0, person), "s")})


@pytest.mark.parametrize(
    ("differs", "between"),
    [
        (("program",), "count, program"),
        (("count", "program"), "output, count"),
        (("output", "count", "program"), ""),  # nothing before it was looked at
        ((), ""),
    ],
)
def test_a_fault_lies_after_the_last_point_that_agrees(differs, between):
    case = CASES["fault on the way asked"]
    told = said(case.name, case.given | {"differs": value(differs)})
    assert ("The fault lies between" in told) == bool(between)
    assert not between or told.endswith(f"between these two points: {between}.")


def test_links_of_an_order_are_told_by_their_numbers():
    told = said("ordered steps", CASES["links that pass"].solved)
    assert told.endswith("3 before 6. 4 before 5. 5 before 6. 1 before 10.")
