"""Figures of records, orders of work, settings, grounds and routes, to test with."""

from figure_case import Case, value

GROUNDS = {
    "at_sensor": value("yes"),
    "at_card": value("yes"),
    "isolated": value("no"),
    "difference": value(0.2, "V", 1),
    "signal_low": value(1.0, "V"),
    "signal_high": value(5.0, "V"),
    "lower": value(100.0, "°C"),
    "upper": value(900.0, "°C"),
}
WORK_CASES = {
    "records asked": Case(
        "records",
        {
            "names": value(("fault action", "set point", "on-delay", "range")),
            "first": value(("high, 21.5 mA", "−18 °C", "20 min", "−40 to 40 °C")),
            "second": value(("low, 3.5 mA", "−0.4 °F", "20 s", "−40 to 104 °F")),
        },
        {"differs": value(("fault action", "on-delay"))},
        ("≠",),
    ),
    "fault on the way asked": Case(
        "channel points",
        {
            "names": value(("sensor", "output", "card", "count", "program")),
            "first": value(("128.6 Ω", "13.87 mA", "3.47 V", "2839", "74.0 °C")),
            "second": value(("", "13.87 mA", "", "2842", "41 °C")),
        },
        {"differs": value(("program",))},
        ("≠", "fault here"),
    ),
    "order asked": Case(
        "ordered steps",
        {"steps": value(("Supply at the plug", "Plug in", "Ambient reading", "Lock"))},
        {"values": value(("+24 V", "", "9.76 mA", "")), "before": value((1.0, 3.0)), "after": value((2.0, 4.0))},
        ("9.76",),
    ),
    "links that pass": Case(
        "ordered steps",
        {"steps": value(tuple(f"Step of the job {letter}" for letter in "abcdefghij"))},
        {"before": value((3.0, 4.0, 5.0, 1.0)), "after": value((6.0, 5.0, 6.0, 10.0)), "values": value(("on",) * 10)},
        ("on",),
    ),
    "sum of parts asked": Case(
        "stacked parts",
        {
            "parts": value(("digits", "span", "reading")),
            "names": value(("at 80 °C", "at 250 °C")),
            "amounts": value((0.2, 0.15, 0.12, 0.2, 0.15, 0.375), "°C (difference)", 3, "limit"),
        },
        {},
        ("0.470", "0.725"),
    ),
    "room to a line asked": Case(
        "stacked parts",
        {
            "parts": value(("on-delay", "lag", "person")),
            "amounts": value((25.0, 45.0, 150.0), "s"),
            "limit": value(450.0, "s", 0, "harm after"),
        },
        {},
        ("220", "230"),
    ),
    "signals of a setup asked": Case(
        "range levels",
        {
            "lower": value(-30.0, "°C"),
            "upper": value(50.0, "°C"),
            "signal_low": value(4.0, "mA"),
            "signal_high": value(20.0, "mA"),
            "names": value(("harm", "alarm", "reset")),
            "levels": value((-14.0, -18.0, -19.5), "°C", 1),
            "fault": value(21.5, "mA", 1),
        },
        {},
        ("6.40", "6.10"),
    ),
    "grounds asked": Case("two grounds", GROUNDS, {}, ("5.00", "40.0")),
    "isolated grounds asked": Case("two grounds", GROUNDS | {"isolated": value("yes")}, {}, ("0.00",)),
    "separation asked": Case(
        "cable route",
        {"alongside": value(25.0, "m"), "least": value(100.0, "mm"), "per_meter": value(10.0, "mm")},
        {"separation": value(350.0, "mm")},
        ("350",),
    ),
}
