"""What a measurement shows on a channel with something changed in it."""

from trainer.bench.instruments import Case
from trainer.bench.measurements import LOOKS
from trainer.channel.simulation import Course
from trainer.channel.tables import changed

SHIFT = Course(
    ((0.0, 74.5), (600.0, 74.5), (700.0, 94.5), (1200.0, 94.5), (1300.0, 74.5), (3600.0, 74.5)),
    sensor_open=((2000.0, 2060.0),),
    supply_off=((3000.0, 3060.0),),
)


def look(name, channel, value, shift=SHIFT, **changes):
    """Values by label; the changes are paths, two underscores for each dot."""
    faulty = changed(channel, {path.replace("__", "."): each for path, each in changes.items()})
    return {each.label: each.value for each in LOOKS[name](Case(faulty, channel, value, "°C", shift))}
