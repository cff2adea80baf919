"""Commissioning by its pages: forms kept, run and handed in; copies and comparisons; nothing told before its time."""

import pytest
from setup_forms import begin, boxes, copied, full, hand_in, id_of, opened, pair, send, typed
from web_visitors import Visitor, dump, services_of, without_tokens

from trainer.practice.bench_tasks import COMPARISON, COPY, SETUP
from trainer.storage.attempts import BRIEF, get_attempt
from trainer.storage.evidence import evidence_of

WARM = {"value.filter": "1.5"}


def worth(app, task):
    with services_of(app).database.reading() as session:
        kept = get_attempt(session, id_of(task), kind=BRIEF)
        rows = {row.skill: row.value for row in evidence_of(session, kept.learner_id)}
        return kept.value, kept.evidence, rows


def seen(visitor, task) -> str:
    return without_tokens(visitor.page(task))


def test_the_first_page_and_the_door_lead_to_every_task(app, visitor):
    page = visitor.page("/commissioning/")
    bench = services_of(app).library.bench
    for kind, names in ((SETUP, bench.briefs), (COPY, bench.sisters), (COMPARISON, bench.briefs)):
        for name in names:
            assert f'value="{kind}/{name}"' in page
    assert 'href="/commissioning/"' in visitor.page("/")
    assert 'href="/commissioning/"' in visitor.page("/hunts/")
    assert 'href="/hunts/"' in page


@pytest.mark.parametrize("task", ["", "setup/space-station", "copy/space-station", "comparison/x", "riddle/hold-tube"])
def test_what_is_not_there_cannot_be_started(visitor, task):
    assert visitor.post("/commissioning/", task=task).status_code == 404


def test_every_brief_opens_with_its_text(app, visitor):
    for name in services_of(app).library.bench.briefs:
        task = begin(visitor, f"setup/{name}")
        page = visitor.page(task)
        assert "Foretell" in page
        assert 'value="relays-4"' in page


def test_the_reference_is_worth_everything(app, visitor):
    task = begin(visitor)
    answer = send(visitor, task, full(app, task), "run")
    assert answer.status_code == 303
    assert answer.location.endswith("/runs/1")
    run = visitor.page(answer.location)
    assert "Not met." not in run
    assert "You foretold" in run
    assert "Nothing is missing." in visitor.page(f"{task}/hand-in")
    assert hand_in(visitor, task).status_code == 303
    assert worth(app, task) == (pytest.approx(1.0), True, {"S10.1": pytest.approx(1.0)})
    page = visitor.page(f"{task}/result")
    assert "The setup does what the brief asks." in page
    assert "Every setting is that of the reference." in page
    assert visitor.get(task).location.endswith("/result")


def test_a_known_wrong_setting_is_named_and_set_beside_the_reference(app, visitor):
    task = begin(visitor)
    form = full(app, task) | {"value.relays.0.alarm.on_delay": "30"}
    run = visitor.page(send(visitor, task, form, "run").location)
    assert run.count("Not met.") == 3  # cold product, its stay, the break: see `fails` and the course of the brief
    hand_in(visitor, task)
    page = visitor.page(f"{task}/result")
    assert "Neither the cold product nor the broken sensor lasts long enough to be told." in page
    assert "1.8 to 2.6" in page.replace("\u00a0", " ")


def test_half_a_form_is_kept_and_shown_again(app, visitor):
    task = begin(visitor)
    form = {"tag": "TT-7", "value.filter": "1.5", "own.filter": "Calm <b>enough</b> {{7*7}}", "reason.filter": ""}
    assert send(visitor, task, form).status_code == 303
    page = visitor.page(task)
    assert 'value="TT-7"' in page
    assert 'value="1.5"' in page
    assert "Calm &lt;b&gt;enough&lt;/b&gt; {{7*7}}" in page
    assert opened(app, task).record.reasons == {"filter": "Calm <b>enough</b> {{7*7}}"}


def test_what_cannot_be_read_is_kept_with_its_sentence(app, visitor):
    task = begin(visitor)
    answer = send(visitor, task, {"value.filter": "much", "value.output.lower": "3 V", "tag": "TT-7"})
    page = answer.get_data(as_text=True)
    assert answer.status_code == 400
    assert 'value="much"' in page
    assert 'id="error-value.filter"' in page
    assert "is not a unit of this setting" in page
    assert opened(app, task).texts["value.filter"] == "much"
    assert "much is not a number" in visitor.page(f"{task}/hand-in")


def test_the_number_of_relays_keeps_what_was_typed(app, visitor):
    task = begin(visitor)
    assert send(visitor, task, {"value.relays": ""}, "relays-2").location.endswith("#told")
    assert (
        send(visitor, task, {"value.relays.1.alarm.set_point": "71", "value.relays": "2"}, "relays-0").status_code
        == 303
    )
    assert "Relay 1: Direction" not in visitor.page(task)
    send(visitor, task, {"value.relays": "0"}, "relays-2")
    assert 'name="value.relays.1.alarm.set_point" value="71"' in visitor.page(task)


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"value.filter": ""}, "Not set yet: Filter, time constant."),
        ({"value.filter": "x"}, "Not run: some boxes cannot be read"),
        ({"foretold.first": ""}, "Not run: foretell first"),
        ({"foretold.first": "soon"}, "Not run: foretell first"),
        ({"value.output.upper": "0"}, "Not run: a range needs two different ends"),
    ],
)
def test_what_cannot_be_run_is_kept_and_says_why(app, visitor, change, sentence):
    task = begin(visitor)
    answer = send(visitor, task, full(app, task) | change, "run")
    assert answer.status_code == 400
    assert sentence in answer.get_data(as_text=True)
    found = opened(app, task)
    assert not found.runs
    assert found.texts["tag"] == "TT-7"


def test_only_the_first_run_counts_for_what_was_foretold(app, visitor):
    task = begin(visitor)
    form = full(app, task)
    right = form["foretold.first"]
    send(visitor, task, form | {"foretold.first": "5"}, "run")
    assert "so it stays as it is" in visitor.page(task)
    assert send(visitor, task, form | {"foretold.first": right}, "run").location.endswith("/runs/2")
    hand_in(visitor, task)
    assert worth(app, task)[0] == pytest.approx(0.4 + 0.3 + 0.3 * 0.5)


def test_the_same_form_twice_is_one_run_and_one_hand_in(app, visitor):
    task = begin(visitor)
    form = full(app, task)
    one, two = (send(visitor, task, form, "run", form_token="once") for _ in range(2))
    assert one.location == two.location
    assert hand_in(visitor, task).status_code == hand_in(visitor, task).status_code == 303
    assert [entry.step for entry in opened(app, task).entries] == ["run", "hand-in"]
    assert visitor.post(f"{task}/hand-in", form_token="another").status_code == 409
    assert visitor.post(task, form_token="x", seen="", then="keep", tag="T").status_code == 409


def test_an_older_window_does_not_write_over_a_newer_one(app, visitor):
    task = begin(visitor)
    send(visitor, task, {"tag": "TT-1"})
    answer = send(visitor, task, {"tag": "TT-2"}, seen="0123456789abcdef")
    page = answer.get_data(as_text=True)
    assert answer.status_code == 409
    assert 'value="TT-2"' in page
    assert opened(app, task).texts["tag"] == "TT-1"


def test_a_setup_may_be_handed_in_unfinished_and_says_so_first(app, visitor):
    task = begin(visitor)
    answer = send(visitor, task, {"tag": "TT-7"}, "hand-in")
    assert answer.location.endswith("/hand-in")
    page = visitor.page(answer.location)
    assert "Service</a>: not stated yet" in page
    assert "nothing foretold yet" in page
    hand_in(visitor, task)
    page = visitor.page(f"{task}/result")
    assert "It could not be run." in page
    assert worth(app, task)[0] < 0.2


def test_a_reason_in_own_words_counts_once_an_instructor_accepts_it(app, visitor):
    task = begin(visitor)
    send(visitor, task, full(app, task) | {"reason.filter": "", "own.filter": "The cream swings by itself."}, "hand-in")
    hand_in(visitor, task)
    before = worth(app, task)[0]
    assert before < 1.0
    assert visitor.post(f"{task}/accept", path="filter").status_code == 403
    teacher = Visitor(app)
    teacher.become_instructor()
    assert "Accept" in teacher.page(f"{task}/result")
    assert teacher.post(f"{task}/accept", path="filter").status_code == 303
    assert worth(app, task) == (pytest.approx(1.0), True, {"S10.1": pytest.approx(1.0)})
    assert teacher.post(f"{task}/accept", path="filter").status_code == 409


# One with a break and one relay, one with two relays and its own level, one that lasts for days.
@pytest.mark.parametrize("name", ["hold-tube", "reservoir", "grain-silo"])
def test_a_run_has_a_plot_and_its_words(app, visitor, name):
    task = begin(visitor, f"setup/{name}")
    run = send(visitor, task, full(app, task), "run").location
    answer = visitor.get(f"{run}/light.svg")
    assert answer.mimetype == "image/svg+xml"
    assert len(answer.get_data()) < 90_000
    page = visitor.page(run)
    assert "Requirements met: 1, 2" in page
    assert "Not met." not in page
    assert visitor.get(f"{task}/runs/2").status_code == 404
    assert visitor.get(f"{task}/runs/0").status_code == 404


def test_the_setup_record_is_a_page_to_print(app, visitor):
    task = begin(visitor)
    send(visitor, task, full(app, task))
    page = visitor.page(f"{task}/record")
    assert opened(app, task).record.checksum in page
    assert "de-energized in alarm" in page
    assert "A lost supply then looks like an alarm at the contact." in page
    send(visitor, task, full(app, task), "run")
    send(visitor, task, full(app, task) | WARM, "run")
    assert opened(app, task).record.revision == 2


# Non-interference: with another setup for a reference the open page stays the same, byte by byte.
def test_an_open_brief_does_not_tell_its_reference(app, visitor, monkeypatch):
    task = begin(visitor)
    before = [seen(visitor, task), seen(visitor, f"{task}/hand-in"), seen(visitor, f"{task}/record")]
    found = opened(app, task)
    wrong = found.task.set_wrong(next(each for each in found.task.wrong if each.name == "long-delay"))
    monkeypatch.setitem(found.task.__dict__, "channel", wrong)
    assert [seen(visitor, task), seen(visitor, f"{task}/hand-in"), seen(visitor, f"{task}/record")] == before
    for value in ("0.5", typed(found.task.facts["raw_high"])):
        assert f'value="{value}"' not in before[0]
    assert " checked" not in before[0].replace('value="" checked', "")


def test_a_copy_is_judged_line_by_line(app, visitor):
    task = begin(visitor, "copy/second-house")
    found = copied(app, task)
    right = boxes(found.sister.right, found.sister.right.tag, found.sister.right.service)
    assert found.sister.sister.needs[0]["why"] not in visitor.page(task)
    form = right | {"value.input.allowance": typed(found.sister.source.values["input.allowance"]), "value.filter": "3"}
    assert send(visitor, task, form, "hand-in").status_code == 303
    hand_in(visitor, task)
    page = visitor.page(f"{task}/result")
    assert "was copied" in page
    assert "was entered without need" in page
    assert worth(app, task)[0] == pytest.approx(0.5)  # 4 needs: 3 right, 1 needless
    again = begin(visitor, "copy/second-house")
    found = copied(app, again)
    send(visitor, again, boxes(found.sister.right, found.sister.right.tag, found.sister.right.service))
    hand_in(visitor, again)
    assert worth(app, again)[0] == 1.0


def test_a_copy_that_cannot_be_read_is_not_handed_in(app, visitor):
    task = begin(visitor, "copy/second-bearing")
    answer = send(visitor, task, {"value.filter": "much"})
    assert answer.status_code == 400
    assert "much is not a number" in answer.get_data(as_text=True)
    before = dump(app)
    assert hand_in(visitor, task).status_code == 400
    assert dump(app) == before


def test_a_comparison_tells_found_missed_and_false(app, visitor):
    task = begin(visitor, "comparison/cold-store")
    found = pair(app, task)
    differs = [path for path, value in found.approved.values.items() if found.found.values[path] != value]
    same = next(path for path in found.approved.values if path not in differs)
    assert all(found.differences[path].says not in visitor.page(task) for path in differs)
    form = {f"mark.{path}": found.differences[path].consequence for path in differs}
    assert send(visitor, task, form | {f"mark.{same}": "only the look"}, "hand-in").status_code == 303
    hand_in(visitor, task)
    page = visitor.page(f"{task}/result")
    assert page.count("Found.") == len(differs)
    assert page.count("Marked for nothing.") == 1
    assert worth(app, task)[0] == pytest.approx(1.0 - 1.0 / len(differs))
    assert "S10.2" in worth(app, task)[2]
    empty = begin(visitor, "comparison/cold-store")
    hand_in(visitor, empty)
    assert "Missed." in visitor.page(f"{empty}/result")


def test_another_learner_finds_nothing(app, visitor):
    other = Visitor(app)
    other.become_guest()
    for name in ("setup/hold-tube", "copy/second-house", "comparison/hold-tube"):
        task = begin(visitor, name)
        for address in (task, f"{task}/hand-in", f"{task}/result", f"{task}/record", f"{task}/runs/1"):
            assert other.get(address).status_code == 404
        before = dump(app)
        assert other.post(task, form_token="x", seen="", then="run").status_code == 404
        assert hand_in(other, task).status_code == 404
        assert dump(app) == before
    hand_in(visitor, task)
    assert other.get(f"{task}/result").status_code == 404
    assert visitor.get(task.replace("/commissioning/", "/sheets/")).status_code == 404


def test_tasks_stand_in_ones_progress_and_on_the_first_page(app, visitor):
    for name in ("setup/hold-tube", "copy/second-house", "comparison/hold-tube"):
        assert begin(visitor, name) in visitor.page("/")
    page = visitor.page("/progress/")
    assert "Compare: Hold tube of a cream line" in page
    assert "From the first seedling house to the second" in page
