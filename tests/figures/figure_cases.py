"""Figures to test with, and what is read out of a drawing."""

import re
from xml.etree import ElementTree

from figure_case import Case, value
from work_cases import WORK_CASES

TEXT = "{http://www.w3.org/2000/svg}text"

STORE = {
    "lower": value(-30.0, "°C"),
    "upper": value(50.0, "°C"),
    "signal_low": value(4.0, "mA"),
    "signal_high": value(20.0, "mA"),
}
CANAL = {
    "times": value((0.0, 10.0, 16.0, 20.0, 30.0, 40.0, 66.0, 72.0, 90.0, 96.0, 110.0, 124.0, 130.0), "s"),
    "trace": value(
        (39.5, 39.5, 43.25, 41.75, 41.75, 43.7, 43.7, 41.6, 41.6, 39.5, 39.5, 43.1, 43.1), "°C", 2, "Cooling canal"
    ),
    "set_point": value(42.5, "°C", 1),
    "direction": value("rising"),
    "deadband": value(1.5, "°C (difference)", 1),
    "on_delay": value(12.0, "s"),
    "off_delay": value(6.0, "s"),
    "asked": value((18.0, 42.0, 60.0, 94.0, 99.0, 129.0), "s"),
}
DIGESTER = {
    "trace": value((37.0, 36.2, 36.0, 36.5, 36.7, 36.9, 36.1, 35.9), "°C", 1, "Digester"),
    "set_point": value(36.0, "°C", 1),
    "direction": value("falling"),
    "deadband": value(0.8, "°C (difference)", 1),
}
CASES = {
    "resistance asked": Case(
        "sensor curve",
        {"r0": value(100.0, "Ω"), "temperature": value(63.5, "°C", 1)},
        {"resistance": value(124.58, "Ω", 2)},
        ("124.58",),
    ),
    "temperature asked": Case(
        "sensor curve",
        {"r0": value(1000.0, "Ω"), "resistance": value(842.71, "Ω", 2)},
        {"temperature": value(-40.0, "°C", 1)},
        ("−40.0",),
    ),
    "hot end": Case(
        "sensor curve",
        {"r0": value(100.0, "Ω"), "temperature": value(838.0, "°C", 1)},
        {"resistance": value(386.93, "Ω", 2)},
        ("386.93",),
    ),
    "cold end": Case(
        "sensor curve",
        {"r0": value(100.0, "Ω"), "temperature": value(-190.0, "°C", 1)},
        {"resistance": value(22.83, "Ω", 2)},
        ("22.83",),
    ),
    "signal asked": Case(
        "range bars", STORE | {"value": value(11.2, "°C", 1)}, {"signal": value(12.24, "mA", 2)}, ("12.24",)
    ),
    "value asked": Case(
        "range bars", STORE | {"signal": value(4.32, "mA", 2)}, {"value": value(-28.4, "°C", 1)}, ("−28.4",)
    ),
    "reverse acting": Case(
        "range bars",
        STORE | {"value": value(45.2, "°C", 1), "reverse": value("reverse acting")},
        {"signal": value(4.96, "mA", 2)},
        ("4.96",),
    ),
    "over a trace": Case(
        "alarm trace",
        CANAL,
        {
            "reset": value(41.0, "°C", 2),
            "states": value(("normal", "normal", "alarm", "alarm", "normal", "normal")),
        },
        ("41.00", "41.0", "45.8", "97.7"),
    ),
    "over readings": Case(
        "alarm trace",
        DIGESTER,
        {"states": value(("normal", "normal", "alarm", "alarm", "alarm", "normal", "normal", "alarm"))},
        ("36.8",),
    ),
    "in fahrenheit": Case(
        "temperature scales",
        {"difference": value(2.5, "°C (difference)", 1)},
        {"converted": value(4.5, "°F (difference)", 2)},
        ("4.50", "36.50", "32"),
    ),
    "in kelvin": Case(
        "temperature scales",
        {"difference": value(-117.0, "°F (difference)", 1)},
        {"converted": value(-65.0, "K (difference)", 1)},
        ("65.0", "273"),
    ),
}

LOOP = {
    "supply": value(24.0, "V", 1),
    "current": value(12.0, "mA", 1),
    "burden": value(250.0, "Ω"),
    "wire": value(15.0, "Ω"),
}
FIVE = value((0.0, 25.0, 50.0, 75.0, 100.0), "%")
CASES |= {
    "error of a class": Case(
        "error band",
        {
            "base": value(0.3, "°C (difference)", 2),
            "per_degree": value(0.005, "", 3),
            "temperature": value(98.0, "°C"),
        },
        {"permitted": value(0.79, "°C (difference)", 2), "error": value(-0.5, "°C (difference)", 1)},
        ("0.79",),
    ),
    "error below zero": Case(
        "error band",
        {
            "base": value(0.15, "°C (difference)", 2),
            "per_degree": value(0.002, "", 3),
            "temperature": value(-148.0, "°F"),
        },
        {},
        ("0.35",),
    ),
    "error of a thermocouple": Case(
        "error band",
        {
            "fixed": value(2.2, "°C (difference)", 1),
            "percent": value(0.75, "%", 2),
            "temperature": value(810.0, "°C"),
        },
        {"permitted": value(6.08, "°C (difference)", 2)},
        ("6.08",),
    ),
    "emf at terminals": Case(
        "thermocouple loop",
        {"kind": value("J"), "hot": value(227.0, "°C"), "terminal": value(34.5, "°C", 1)},
        {"emf": value(10.507, "mV", 3)},
        ("10.507",),
    ),
    "junction from emf": Case(
        "thermocouple loop",
        {"kind": value("S"), "emf": value(4.561, "mV", 3), "terminal": value(33.0, "°C", 1)},
        {"hot": value(552.0, "°C", 1)},
        ("552.0",),
    ),
    "cable of copper": Case(
        "thermocouple loop on copper",
        {
            "kind": value("K"),
            "hot": value(380.0, "°C"),
            "head": value(77.0, "°C"),
            "terminal": value(23.0, "°C"),
        },
        {},
        ("12.412", "0.000"),
    ),
    "cable crossed": Case(
        "crossed thermocouple loop",
        {
            "kind": value("K"),
            "hot": value(1202.0, "°F"),
            "head": value(70.0, "°C"),
            "terminal": value(28.0, "°C"),
        },
        {},
        ("24.174", "−1.729"),
    ),
    "on two wires": Case(
        "two-wire sensor",
        {"a": value(3.0, "Ω", 2), "c": value(3.0, "Ω", 2)},
        {"added": value(6.0, "Ω", 2)},
        ("6.00",),
    ),
    "on three wires": Case(
        "sensor wiring",
        {
            "wires": value("one current, out by a and back by c"),
            "a": value(3.15, "Ω", 2),
            "b": value(0.7, "Ω", 2),
            "c": value(0.5, "Ω", 2),
        },
        {"element": value(119.4, "Ω", 2)},
        ("122.05", "119.40"),
    ),
    "on four wires": Case(
        "sensor wiring",
        {"wires": value("four-wire"), "readings": value((120.69, 120.69, 2.8, 2.8, 120.69, 120.69), "Ω", 2)},
        {"element": value(117.89, "Ω", 2)},
        ("117.89",),
    ),
    "flow asked": Case(
        "square root",
        {
            "full_flow": value(300.0, "m³/h"),
            "signal_low": value(4.0, "mA"),
            "signal_high": value(20.0, "mA"),
            "signal": value(13.77, "mA", 2),
        },
        {"flow": value(234.4, "m³/h", 1)},
        ("234.4", "78.1"),
    ),
    "signal for a flow asked": Case(
        "square root",
        {"flow": value(25.0, "%"), "cut_off": value(10.0, "%")},
        {"signal": value(5.0, "mA", 2)},
        ("5.00",),
    ),
    "thermistor temperature asked": Case(
        "thermistor curve",
        {"nominal": value(10000.0, "Ω"), "beta": value(3950.0, "K (difference)"), "resistance": value(6450.0, "Ω")},
        {"temperature": value(35.2, "°C", 1)},
        ("35.2",),
    ),
    "roots asked": Case("square root", {}, {"roots": value("two")}, ("Here: two roots",)),
    "counts asked": Case(
        "counts staircase",
        {"bits": value(12.0, "bits"), "full_scale": value(5.0, "V"), "signal": value(3.196, "V", 3)},
        {"counts": value(2618, "counts")},
        ("2618", "1.221", "4095"),
    ),
    "size of a count asked": Case(
        "counts staircase", {"bits": value(10.0, "bits"), "full_scale": value(20.0, "mA")}, {}, ("19.550", "1023")
    ),
    "band asked": Case("fault levels", {"current": value(3.54, "mA", 2)}, {}, ("3.6", "20.5")),
    "band above asked": Case("fault levels", {}, {"current": value(20.7, "mA", 1)}, ("20.7",)),
    "voltages asked": Case("loop drawing", LOOP, {}, ("20.64", "3.00", "0.18")),
    "cable asked": Case(
        "loop drawing",
        {
            "supply": value(24.5, "V", 1),
            "lift_off": value(9.9, "V", 1),
            "current": value(22.0, "mA"),
            "burden": value(250.0, "Ω"),
        },
        {},
        ("5.50",),
    ),
    "open place asked": Case(
        "loop drawing",
        {
            "supply": value(23.83, "V", 2),
            "burden": value(250.0, "Ω"),
            "b": value(23.83, "V", 2),
            "c": value(0.0, "V", 2),
            "d": value(0.0, "V", 2),
        },
        {"open": value("in the transmitter")},
        ("open here",),
    ),
    "leak across the burden": Case(
        "loop drawing",
        {"current": value(9.25, "mA", 2), "burden": value(250.0, "Ω"), "leak_burden": value(2900.0, "Ω")},
        {"wire": value(15.5, "Ω", 1)},
        ("8.52", "2.13"),
    ),
    "leak across the transmitter": Case(
        "loop drawing",
        {
            "supply": value(23.9, "V", 1),
            "current": value(8.95, "mA", 2),
            "resistance": value(386.0, "Ω"),
            "leak_transmitter": value(9000.0, "Ω"),
        },
        {},
        ("11.13", "4.30"),
    ),
    "time asked": Case(
        "step response",
        {
            "start": value(18.5, "°C", 1),
            "end": value(70.0, "°C", 1),
            "target": value(56.5, "°C", 1),
            "constant": value(59.0, "s"),
        },
        {"time": value(79.0, "s", 1)},
        ("79.0",),
    ),
    "reading asked": Case(
        "step response",
        {
            "start": value(159.0, "°C"),
            "end": value(49.0, "°C"),
            "time": value(18.0, "s"),
            "constant": value(31.0, "s"),
        },
        {"target": value(110.5, "°C", 1)},
        ("110.5",),
    ),
    "time to settle asked": Case(
        "step response",
        {
            "start": value(70.0, "°F"),
            "end": value(192.0, "°F"),
            "allowed": value(2.0, "°F (difference)", 1),
            "constant": value(27.5, "s", 1),
        },
        {},
        ("113.0", "190.0"),
    ),
    "lateness asked": Case(
        "ramp lag",
        {
            "rate": value(9.5, "°F/min", 1),
            "sensor": value(22.0, "s"),
            "filter": value(14.0, "s"),
            "delay": value(5.0, "s"),
            "set_point": value(215.0, "°F"),
        },
        {"true": value(221.5, "°F", 1)},
        ("41", "6.49", "221.5"),
    ),
    "falling ramp": Case(
        "ramp lag",
        {"rate": value(-6.0, "kPa/s", 1), "constant": value(4.0, "s"), "reading": value(415.0, "kPa")},
        {},
        ("24.00", "391.00"),
    ),
    "errors asked": Case(
        "calibration errors",
        {"points": FIVE, "limit": value(0.5, "% of span", 2)},
        {
            "up": value((0.21, 0.16, 0.19, 0.32, 0.56), "% of span", 2),
            "down": value((0.24, 0.4, 0.49, 0.57, 0.56), "% of span", 2),
        },
        ("0.56", "0.57"),
    ),
    "as found and as left": Case(
        "calibration errors",
        {
            "points": FIVE,
            "limit": value(0.5, "% of span", 2),
            "signal_low": value(4.0, "mA"),
            "signal_high": value(20.0, "mA"),
            "found": value((4.122, 8.116, 12.109, 16.116, 20.122), "mA", 3),
            "left": value((4.026, 8.024, 12.023, 16.024, 20.026), "mA", 3),
        },
        {},
        ("0.76", "0.16"),
    ),
    "budget asked": Case(
        "uncertainty budget",
        {
            "contributions": value((0.15, 0.139, 0.029), "°C (difference)", 3),
            "names": value(("reference", "bath", "display")),
        },
        {"combined": value(0.206, "°C (difference)", 3)},
        ("0.206",),
    ),
    "candidates asked": Case(
        "candidates",
        {"allowed": value(1.6, "°C (difference)", 1)},
        {
            "first": value(2.5, "°C (difference)", 2, "Thermocouple"),
            "second": value(0.93, "°C (difference)", 2, "RTD, class B"),
            "third": value(0.402, "°C (difference)", 2, "RTD, class A"),
        },
        ("0.93", "2.50"),
    ),
    "contact asked": Case(
        "relay contact",
        {"coil": value("de-energized in alarm"), "contact": value("normally open")},
        {"state": value("alarm")},
        ("closed",),
    ),
}
CASES |= WORK_CASES


def texts(svg: bytes) -> list[str]:
    """Every label of a drawing."""
    return ["".join(each.itertext()) for each in ElementTree.fromstring(svg).iter(TEXT)]


def coordinates(svg: bytes) -> list[tuple[float, float]]:
    """Every point of every path of a drawing."""
    paths = " ".join(each.get("d", "") for each in ElementTree.fromstring(svg).iter())
    return [(float(x), float(y)) for x, y in re.findall(r"[ML] (-?[\d.]+) (-?[\d.]+)", paths)]
