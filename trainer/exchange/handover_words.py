"""What comes of a record that arrives, in words for people."""

from __future__ import annotations

from trainer.language import gettext, ngettext
from trainer.practice.handovers import Arrival


def name_of(name: str) -> str:
    """A person's name, or words for one who has none."""
    return name or gettext("a guest without a name")


def new_rows(arrival: Arrival) -> list[str]:
    """What is new, each kind with its number."""
    new = arrival.new
    counted = (
        (new["attempt"], ngettext("{n} sheet", "{n} sheets", new["attempt"])),
        (new["entry"], ngettext("{n} entry", "{n} entries", new["entry"])),
        (new["draft"], ngettext("{n} text not handed in yet", "{n} texts not handed in yet", new["draft"])),
        (new["remarking"], ngettext("{n} sheet marked again", "{n} sheets marked again", new["remarking"])),
        (new["override"], ngettext("{n} mark given by hand", "{n} marks given by hand", new["override"])),
        (new["remark"], ngettext("{n} remark", "{n} remarks", new["remark"])),
        (new["complaint"], ngettext("{n} complaint", "{n} complaints", new["complaint"])),
        (new["sign_off"], ngettext("{n} sign-off", "{n} sign-offs", new["sign_off"])),
        (new["witnessed"], ngettext("{n} work seen done", "{n} works seen done", new["witnessed"])),
    )
    return [word.format(n=number) for number, word in counted if number]


def summary(arrival: Arrival) -> list[str]:
    """Everything that comes of it, a sentence or a few words each."""
    if arrival.nothing_new:
        told = [gettext("all of it is here already")]
    else:
        told = new_rows(arrival)
        if number := arrival.changed:
            said = ngettext("{n} row here is brought up to date", "{n} rows here are brought up to date", number)
            told.append(said.format(n=number))
        told = told or [gettext("the person, without any work yet")]
    if number := arrival.waits:
        said = ngettext(
            "{n} sheet of a try under way here is left alone",
            "{n} sheets of a try under way here are left alone",
            number,
        )
        told.append(said.format(n=number))
    return told
