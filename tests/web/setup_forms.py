"""Setups filled in and sent as a browser does."""

import re
from uuid import UUID

from web_visitors import Visitor, services_of

from trainer.bench.judging import trace_of
from trainer.bench.setup_records import SetupRecord
from trainer.practice import commissioning, setup_copies
from trainer.practice.commissioning import FORETOLD, OpenSetup

TOKENS = re.compile(r'name="(form_token|seen|csrf_token)" value="([^"]*)')


def begin(visitor: Visitor, task: str = "setup/hold-tube") -> str:
    answer = visitor.post("/commissioning/", task=task)
    assert answer.status_code == 303, answer.get_data(as_text=True)
    return answer.location


def id_of(address: str) -> UUID:
    return UUID(address.split("/")[2])


def opened(app, address: str) -> OpenSetup:
    with services_of(app).database.reading() as session:
        return commissioning.look(session, id_of(address), services_of(app).library.bench)


def copied(app, address: str):
    with services_of(app).database.reading() as session:
        return setup_copies.look_at_copy(session, id_of(address), services_of(app).library.bench)


def pair(app, address: str):
    with services_of(app).database.reading() as session:
        return setup_copies.look_at_comparison(session, id_of(address), services_of(app).library.bench)


def typed(value) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return value if isinstance(value, str) else f"{value:.10g}"


def boxes(record: SetupRecord, tag: str = "TT-7", service: str = "Something warm") -> dict[str, str]:
    """The boxes of a form that holds a record."""
    values = {f"value.{path}": typed(value) for path, value in record.values.items()}
    return {
        "tag": tag,
        "service": service,
        **values,
        **{f"reason.{path}": text for path, text in record.reasons.items()},
    }


def foretold(found: OpenSetup, record: SetupRecord) -> dict[str, str]:
    """What a setup will do, as somebody who knows it foretells it."""
    trace = trace_of(found.task, found.settings, record)
    return {FORETOLD + each.name: typed(each.answer(trace)) for each in found.task.questions}


def full(app, address: str) -> dict[str, str]:
    """The whole form of the reference setup."""
    found = opened(app, address)
    return boxes(found.reference) | foretold(found, found.reference)


def send(visitor: Visitor, address: str, form: dict[str, str], then: str = "keep", **more):
    """Send the form of a task as its page was shown just now."""
    tokens = dict(TOKENS.findall(visitor.page(address).partition("<article")[2]))
    return visitor.client.post(address, data=tokens | {"then": then} | form | more)


def hand_in(visitor: Visitor, address: str):
    return visitor.post(f"{address}/hand-in", form_token="end")
