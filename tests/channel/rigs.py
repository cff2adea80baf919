"""Five healthy channels of invented plants; their numbers are those of a trade brief."""

import math

from trainer.calculations.alarms import Alarm
from trainer.calculations.signals import V_1_5
from trainer.channel.conditioner import Input, RelaySetting
from trainer.channel.laws import EmfLaw, ResistanceLaw, StraightLaw
from trainer.channel.loop import Card, Loop, Output, Scaling
from trainer.channel.sensors import ResistanceSensor, SignalSensor, Thermocouple
from trainer.channel.simulation import Channel

PT100, PT1000, K = ResistanceLaw(), ResistanceLaw(1000.0), EmfLaw("K")
HIGH = RelaySetting(Alarm(direction="rising", set_point=85.0, deadband=2.0))
NO_BURDEN = Card(burden=math.inf)

DAIRY = Channel(
    ResistanceSensor(PT100, 1.6, 1.6, 1.6),
    Input(PT100, 3),
    Output(0.0, 120.0),
    Loop(supply=20.0),
    Card(),
    Scaling(819, 4095, 0.0, 120.0),
    (HIGH,),
)
KILN = Channel(
    Thermocouple(K, head=62.0, panel=30.0),
    Input(K),
    Output(0.0, 1200.0),
    Loop(),
    Card(20.0, "mA", 15),
    Scaling(6553, 32767, 0.0, 1200.0),
)
HEATING = Channel(
    ResistanceSensor(PT100, 1.0, 1.0, 1.0),
    Input(PT100, 3),
    Output(0.0, 120.0),
    Loop("loop", 24.0, 10.0, 18.0),
    Card(),
    Scaling(819, 4095, 0.0, 120.0),
)
COLD_STORE = Channel(
    ResistanceSensor(PT1000, 2.2, math.inf, 2.2),
    Input(PT1000, 2, 4.4),
    Output(-40.0, 40.0, V_1_5),
    Loop("voltage"),
    NO_BURDEN,
    Scaling(819, 4095, -40.0, 40.0),
)
FILTER = Channel(
    SignalSensor(StraightLaw(0.0, 400.0, 0.0, 25.0, squared=True)),
    Input(StraightLaw(0.0, 400.0, 0.0, 25.0)),
    Output(0.0, 400.0),
    Loop(),
    Card(),
    Scaling(819, 4095, 0.0, 400.0, root=True),
)
TRUE_VALUES = {"dairy": 74.5, "kiln": 840.0, "heating": 58.0, "cold store": -24.0, "filter": 240.0}
RIGS = {"dairy": DAIRY, "kiln": KILN, "heating": HEATING, "cold store": COLD_STORE, "filter": FILTER}
