"""The open form gives no answer away: not to the eye, not in its words, not in its source."""

from xml.etree import ElementTree

from figure_cases import CANAL, CASES, STORE, TEXT, coordinates, texts, value

from trainer.figures import draw, words


def test_an_answer_is_in_the_solved_form_only(case):
    opened, solved = texts(draw(case.name, case.given)), texts(draw(case.name, case.solved, "solved"))
    told = words(case.name, case.given)
    for answer in case.answers:
        assert not any(answer in text for text in opened), answer
        assert answer not in told
    assert any(case.answers[0] in text for text in solved)
    assert case.answers[0] in words(case.name, case.solved, "solved")


def test_what_is_asked_has_a_question_mark_until_it_is_solved(case):
    assert any(text.startswith("?") for text in texts(draw(case.name, case.given)))
    assert not any("?" in text for text in texts(draw(case.name, case.solved, "solved")))
    assert "asked" in words(case.name, case.given)


def test_steps_given_too_early_do_not_show_on_a_trace():
    case = CASES["over a trace"]
    assert words(case.name, case.solved, "open") == words(case.name, case.given, "open")
    assert texts(draw(case.name, case.solved, "open")) == texts(draw(case.name, case.given, "open"))


def test_the_bar_that_is_asked_about_is_the_same_for_every_value():
    def signal_side(number):
        points = coordinates(draw("range bars", STORE | {"value": value(number, "°C", 1)}))
        return sorted(point for point in points if point[0] > 250.0)

    assert signal_side(11.2) == signal_side(-20.4) != []


def test_an_asked_point_of_the_curve_is_not_drawn_exactly():
    def height(temperature):
        svg = draw("sensor curve", {"r0": value(100.0, "Ω"), "temperature": value(temperature, "°C", 1)})
        labels = {"".join(each.itertext()): each for each in ElementTree.fromstring(svg).iter(TEXT)}
        return labels["?"].get("transform") or labels["?"].get("y")

    # 0.1 °C is twice the tolerance of a resistance of 100 Ω
    assert height(63.5) == height(63.6)
    assert height(63.5) != height(80.0)


def test_an_asked_axis_has_two_numbers_only():
    case = CASES["temperature asked"]
    opened, solved = texts(draw(case.name, case.given)), texts(draw(case.name, case.solved, "solved"))
    assert {"−200", "100"} <= set(opened)
    assert not {"−100", "0"} & set(opened)
    assert {"−200", "−100", "0", "100"} <= set(solved)


def test_the_window_of_a_trace_does_not_tell_the_side_of_the_deadband():
    """With a trace between the two, set point plus and minus the deadband weigh the same."""
    flat = CANAL | {"trace": value((42.6,) * 13, "°C", 1)}
    rising = texts(draw("alarm trace", flat))
    falling = texts(draw("alarm trace", flat | {"direction": value("falling")}))
    assert [text for text in rising if "42.5" not in text] == [text for text in falling if "42.5" not in text]


def test_drawings_that_are_not_to_scale_are_the_same_for_every_answer():
    """Of these nothing but the labels depends on the values."""
    alike = {
        "ramp lag": ({"rate": value(3.0, "°C/min"), "sensor": value(40.0, "s")}, {"sensor": value(75.0, "s")}),
        "fault levels": ({"current": value(3.5, "mA", 1)}, {"current": value(20.7, "mA", 1)}),
        "thermocouple loop": (
            {"kind": value("K"), "hot": value(600.0, "°C"), "terminal": value(20.0, "°C")},
            {"hot": value(900.0, "°C")},
        ),
        "loop drawing": (
            {"supply": value(24.0, "V"), "b": value(24.0, "V"), "c": value(0.0, "V"), "d": value(0.0, "V")},
            {"c": value(23.0, "V")},
        ),
        "relay contact": (
            {"coil": value("energized in alarm"), "contact": value("normally open")},
            {"coil": value("de-energized in alarm")},
        ),
        "step response": (
            {"start": value(20.0, "°C"), "end": value(80.0, "°C"), "target": value(50.0, "°C")},
            {"target": value(70.0, "°C")},
        ),
    }
    for name, (given, other) in alike.items():
        assert coordinates(draw(name, given)) == coordinates(draw(name, given | other)), name


def test_magnified_counts_are_the_same_for_every_signal():
    given = CASES["counts asked"].given
    steps = [
        sorted(point for point in coordinates(draw("counts staircase", values)) if point[0] > 280.0)
        for values in (given, given | {"signal": value(4.4, "V", 1)})
    ]
    assert steps[0] == steps[1] != []
