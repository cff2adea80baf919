"""The settings of a channel in the words of the trade: what a path such as ``relays.0.alarm.deadband`` is called."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields, is_dataclass
from typing import Any

from trainer.channel.tables import NAMES

OF_PROCESS = "process"  # stands for the unit of the channel's process
ABSENT = "not set"


@dataclass(frozen=True)
class Title:
    """What a setting is called, the unit it is told in, and the words for its truths (false, true)."""

    words: str
    unit: str = ""
    truths: tuple[str, str] = ("no", "yes")


LAW_TITLES = {
    "kind": Title("kind of sensor"),
    "r0": Title("resistance in ice", "Ω"),
    "curve": Title("sensor curve"),
    "nominal": Title("resistance at 25 °C", "Ω"),
    "beta": Title("beta", "K"),
    "letter": Title("thermocouple type"),
    "lower": Title("lower end of the sensor's range", OF_PROCESS),
    "upper": Title("upper end of the sensor's range", OF_PROCESS),
    "low": Title("sensor signal at the lower end"),
    "high": Title("sensor signal at the upper end"),
    "squared": Title("sensor gives the square"),
    "beyond": Title("share of the span measured past the ends"),
}
SIGNAL_TITLES = {
    "low": Title("output signal, lower end"),
    "high": Title("output signal, upper end"),
    "unit": Title("output signal, unit"),
}
ALARM_TITLES = {
    "direction": Title("direction"),
    "set_point": Title("set point", OF_PROCESS),
    "deadband": Title("deadband", OF_PROCESS),
    "on_delay": Title("on-delay", "s"),
    "off_delay": Title("off-delay", "s"),
    "timer": Title("on-delay runs"),
    "latching": Title("latching"),
    "inhibited": Title("inhibited until the first normal"),
}
RELAY_TITLES = {
    "on_break": Title("at a sensor break"),
    "energized_in_alarm": Title("coil", truths=("de-energized in alarm", "energized in alarm")),
    "contact": Title("contact"),
    "bypassed": Title("bypass", truths=("out", "in place")),
    **{f"alarm.{name}": title for name, title in ALARM_TITLES.items()},
}
SETTINGS = {
    "filter": Title("filter time constant", "s"),
    **{f"input.law.{name}": title for name, title in LAW_TITLES.items()},
    "input.wires": Title("wire mode"),
    "input.allowance": Title("lead allowance", "Ω"),
    "input.compensation": Title("reference junction compensation"),
    "input.fixed": Title("reference temperature entered", "°C"),
    "input.root": Title("square root in the conditioner", truths=("not taken", "taken")),
    "input.cut_off": Title("low-flow cut-off, share of the range"),
    "input.offset": Title("offset", OF_PROCESS),
    "output.lower": Title("value at the lower end of the output", OF_PROCESS),
    "output.upper": Title("value at the upper end of the output", OF_PROCESS),
    **{f"output.signal.{name}": title for name, title in SIGNAL_TITLES.items()},
    "output.on_break": Title("fault action"),
    "output.fault_low": Title("low fault level", "mA"),
    "output.fault_high": Title("high fault level", "mA"),
    "output.forced": Title("output forced to"),
    "scaling.raw_low": Title("lower raw limit", "counts"),
    "scaling.raw_high": Title("upper raw limit", "counts"),
    "scaling.lower": Title("scaled value at the lower limit", OF_PROCESS),
    "scaling.upper": Title("scaled value at the upper limit", OF_PROCESS),
    "scaling.root": Title("square root in the controller", truths=("not taken", "taken")),
    "scaling.unit": Title("unit shown"),
    "scaling.forced": Title("controller value forced to", OF_PROCESS),
}


def title_of(path: str) -> Title | None:
    """What the setting at a path is called; None for what is no setting, such as a cable or a temperature.

    Examples
    --------
    >>> title_of("relays.0.alarm.deadband").words
    'relay 1, deadband'
    >>> title_of("sensor.a") is None
    True
    """
    if not path.startswith("relays."):
        return SETTINGS.get(path)
    _, number, name = path.split(".", 2)
    title = RELAY_TITLES.get(name)
    return title and Title(f"relay {int(number) + 1}, {title.words}", title.unit, title.truths)


def value_words(title: Title, value: Any, unit: str) -> str:
    """A value of a setting as it is told, `unit` being that of the process.

    Examples
    --------
    >>> value_words(SETTINGS["filter"], 2.0, "°C"), value_words(RELAY_TITLES["energized_in_alarm"], False, "°C")
    ('2 s', 'de-energized in alarm')
    """
    if value is None or value == "":
        return ABSENT
    if isinstance(value, bool):
        return title.truths[value]
    if not isinstance(value, float):
        return str(value)
    number = "infinite" if math.isinf(value) else f"{value:.6g}".replace("-", "\N{MINUS SIGN}")
    return f"{number} {unit if title.unit == OF_PROCESS else title.unit}".strip()


def settings_of(part: Any, path: str) -> dict[str, Any]:
    """All settings below a path of a channel, by their paths; `part` is what stands at that path.

    Examples
    --------
    >>> from trainer.channel.loop import Scaling
    >>> settings_of(Scaling(0.0, 4095.0, 0.0, 50.0), "scaling")["scaling.raw_high"]
    4095.00
    """
    if isinstance(part, tuple):
        return {
            key: value for index, each in enumerate(part) for key, value in settings_of(each, f"{path}.{index}").items()
        }
    if not is_dataclass(part):
        return {path: part} if title_of(path) else {}
    found: dict[str, Any] = {f"{path}.kind": NAMES[type(part)]} if type(part) in NAMES else {}
    for field in fields(part):
        found |= settings_of(getattr(part, field.name), f"{path}.{field.name}")
    return found
