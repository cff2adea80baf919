"""Own problems: made in a form or as text, looked at, kept; nothing typed is lost, nothing worked is changed."""

import io
import re
from html import unescape

import pytest
from web_visitors import Visitor, dump, services_of

from trainer.content.own_banks import LARGEST_BANK, texts_of
from trainer.practice.problem_texts import texts_of as boxes_of

HOME = "/own-problems/"
BRINE = "brine-chiller-current"
SHEET = """[[worksheet]]
name = "half-of-it"
title = "Half of a reading"
skill = "S3.2"
[[worksheet.given]]
name = "reading"
title = "Reading"
[[worksheet.step]]
name = "half"
title = "Half"
value = "reading / 2"
tolerance = 0.05
[[problem]]
id = "half-kiln"
worksheet = "half-of-it"
title = "Half of it"
level = "F"
place = "kiln"
text = "Half of {reading}?"
givens = { reading = { low = 20, high = 40, step = 0.2 } }
"""


@pytest.fixture
def visitor(app):
    visitor = Visitor(app)
    visitor.become_instructor()
    return visitor


@pytest.fixture
def data(app):
    return services_of(app).settings.data


@pytest.fixture
def known(app):
    """The library as it is now."""
    return lambda: services_of(app).library


@pytest.fixture
def typed(known):
    """What stands in the boxes for a copy of a shipped problem."""

    def typed(**changes):
        texts = boxes_of(known().problems[BRINE]) | {"id": "own-chiller", "bank": "own", "title": "Own chiller"}
        return texts | {key.replace("__", "-"): value for key, value in changes.items()}

    return typed


def keep(visitor, texts, address=f"{HOME}new"):
    return visitor.post(address, do="keep", **texts)


def text_of(answer):
    page = answer if isinstance(answer, str) else answer.get_data(as_text=True)
    return unescape(" ".join(re.sub(r"<[^>]+>", " ", page).split()))


def hidden(page, name):
    return re.search(rf'name="{name}" value="([^"]*)"', page)[1]


def files(data):
    return sorted(str(path.relative_to(data)) for path in data.rglob("*.toml"))


ADDRESSES = [
    "",
    "worksheets",
    f"new?copy={BRINE}",
    f"look/{BRINE}",
    "bank",
    "banks/own/text",
    "banks/own.toml",
    f"banks/own/problems/{BRINE}",
    "spread-light.svg?count=1&low=0&high=1",
]


@pytest.mark.parametrize("address", ADDRESSES)
def test_pages_are_for_instructors(app, address):
    learner = Visitor(app)
    assert learner.get(HOME + address).status_code == 303
    learner.become_guest()
    assert learner.get(HOME + address).status_code in (303, 403)


def test_the_first_page_tells_where_to_begin(visitor):
    page = visitor.page(HOME)
    assert "There is no bank of your own yet" in page
    assert 'href="/own-problems/worksheets"' in page


def test_worksheets_are_found_by_skill(visitor):
    page = visitor.page(f"{HOME}worksheets?skill=S3.2")
    assert "/own-problems/new?worksheet=value-from-signal" in page
    assert f"/own-problems/new?copy={BRINE}" in page
    assert "worksheet=alarm-reset" not in page
    assert visitor.get(f"{HOME}new").location == "/own-problems/worksheets"
    assert visitor.get(f"{HOME}new?worksheet=none").location == "/own-problems/worksheets"
    assert visitor.get(f"{HOME}new?copy=none").status_code == 404


def test_an_empty_form_shows_givens_steps_and_slips(visitor, known):
    page = text_of(visitor.page(f"{HOME}new?worksheet=value-from-signal"))
    sheet = known().worksheets["value-from-signal"]
    for node in (*sheet.givens.values(), *sheet.steps.values()):
        assert node.title in page
    assert all(" ".join(slip.message.split()) in page for slip in sheet.slips.values())


def test_every_worksheet_has_a_form(visitor, known):
    for name in list(known().worksheets)[::8]:
        assert visitor.get(f"{HOME}new?worksheet={name}").status_code == 200, name


def test_a_look_shows_variants_and_keeps_nothing(app, visitor, data, typed):
    before = dump(app)
    answer = visitor.post(f"{HOME}new", do="look", **typed())
    assert answer.status_code == 200
    page = answer.get_data(as_text=True)
    assert len(re.findall(r'<tr><th scope="row">\d+</th>', page)) == 20
    assert "Good to use:" in page
    assert "of 200 draws are refused" in page
    images = [unescape(found) for found in re.findall(r'<img src="([^"]+)" alt="[^"]{20,}', page)]
    assert len(images) == 2
    for address in images:
        assert (visitor.get(address).status_code, visitor.get(address).mimetype) == (200, "image/svg+xml")
    assert dump(app) == before
    assert files(data) == []


def test_a_look_says_what_to_change(visitor, typed):
    answer = visitor.post(f"{HOME}new", do="look", **typed(low__signal="12", high__signal="12.2", avoid__signal=""))
    assert answer.status_code == 200
    page = text_of(answer)
    assert "Not good to use yet" in page
    assert "A wrong method gives nearly the right" in page
    assert "To change: Leave out the values at which they meet" in page


def test_a_problem_is_kept_and_can_be_worked_printed_and_looked_at(app, visitor, data, typed):
    answer = keep(visitor, typed())
    assert (answer.status_code, answer.location) == (303, "/own-problems/#problem-own-chiller")
    assert "own-chiller is kept" in visitor.page(HOME)
    assert files(data) == ["question_banks/history/own/000001.toml", "question_banks/own.toml"]
    learner = Visitor(app)
    assert "Own chiller" in learner.page("/skills/S3.2")
    assert "brine" in learner.page(learner.start("own-chiller"))
    assert visitor.get("/papers/paper?problem=own-chiller&seed=1").status_code == 200
    assert "Own chiller" in visitor.page(f"{HOME}look/own-chiller")
    assert visitor.get(f"{HOME}banks/own.toml").get_data(as_text=True).startswith("[[problem]]\n")


def test_another_process_knows_it_too(app, make_app, visitor, typed):
    other = Visitor(make_app())
    assert "Own chiller" not in other.page("/skills/S3.2")
    keep(visitor, typed())
    assert "Own chiller" in other.page("/skills/S3.2")


def test_faults_stand_beside_their_boxes_and_what_was_typed_stays(visitor, data, typed):
    answer = keep(
        visitor,
        typed(title=" ", text="Reads {reading} <b>{{7*7}}</b>", low__signal="five", unit__lower="kPaa", bank="../x"),
    )
    assert answer.status_code == 400
    page = answer.get_data(as_text=True)
    assert files(data) == []
    for box in ("title", "text", "given-signal", "unit-lower", "bank"):
        assert f'id="error-{box}"' in page, box
        assert re.search(rf'aria-invalid="true" aria-describedby="[^"]*error-{box}"', page), box
    assert 'value="five"' in page
    assert 'value="kPaa"' in page
    assert "Reads {reading} &lt;b&gt;{{7*7}}&lt;/b&gt;" in page
    assert "<b>{{" not in page


@pytest.mark.parametrize(
    "name",
    ["", "../own", "a/b", "con", "lpt1", "signals", "Own", "own.toml", "a" * 41, "<script>", "..%2fown", "own\0"],
)
def test_a_bank_has_a_plain_name(visitor, data, typed, name):
    for answer in (keep(visitor, typed(bank=name)), visitor.post(f"{HOME}bank", do="keep", name=name, text=SHEET)):
        assert answer.status_code == 400
        assert "<script>alert" not in answer.get_data(as_text=True)
        assert 'value="<script>' not in answer.get_data(as_text=True)
    assert files(data) == []


@pytest.mark.parametrize("name", ["con", "..", "signals", "Own", "a.b", "%2e%2e%2fsecret"])
def test_addresses_of_other_files_lead_nowhere(visitor, name):
    for address in (f"banks/{name}/text", f"banks/{name}.toml", f"banks/{name}/problems/{BRINE}"):
        assert visitor.get(HOME + address).status_code in (400, 404), address


def test_a_problem_that_teaches_badly_is_not_kept(visitor, data, typed):
    answer = keep(visitor, typed(low__signal="12", high__signal="12.2", avoid__signal=""))
    assert answer.status_code == 400
    assert "Not good to use yet" in answer.get_data(as_text=True)
    assert files(data) == []


def test_ids_in_use_are_told(visitor, typed):
    answer = keep(visitor, typed(id=BRINE))
    assert answer.status_code == 400
    assert f"{BRINE} is used already in signals.toml" in text_of(answer)


def change_form(visitor, problem="own-chiller"):
    page = visitor.page(f"{HOME}banks/own/problems/{problem}")
    return {"seen": hidden(page, "seen"), "entry_seen": hidden(page, "entry_seen")}


def test_an_unused_problem_is_changed_in_its_place(visitor, known, typed):
    keep(visitor, typed())
    marks = change_form(visitor)
    assert keep(visitor, typed(title="Roof") | marks, f"{HOME}banks/own/problems/own-chiller").status_code == 303
    assert known().problems["own-chiller"].title == "Roof"
    assert "own-chiller-v2" not in known().problems


def test_a_worked_problem_gets_a_new_version_and_past_work_stays(app, visitor, known, typed):
    keep(visitor, typed())
    learner = Visitor(app)
    sheet = learner.start("own-chiller")
    before = learner.page(sheet)
    page = visitor.page(f"{HOME}banks/own/problems/own-chiller")
    assert "has been worked once. Keeping a change makes it own-chiller-v2" in page
    marks = {"seen": hidden(page, "seen"), "entry_seen": hidden(page, "entry_seen")}
    answer = keep(visitor, typed(title="Roof", text="Now {signal}.") | marks, f"{HOME}banks/own/problems/own-chiller")
    assert answer.location == "/own-problems/#problem-own-chiller-v2"
    assert "replaced by own-chiller-v2" in text_of(visitor.page(HOME))
    assert (known().problems["own-chiller"].title, known().problems["own-chiller-v2"].title) == ("Own chiller", "Roof")
    assert text_of(learner.page(sheet)) == text_of(before)
    offered = learner.page("/skills/S3.2")
    assert "own-chiller-v2" in offered
    assert not re.search(r"own-chiller(?!-v2)", offered)
    marks = change_form(visitor)
    late = keep(visitor, typed(title="Floor") | marks, f"{HOME}banks/own/problems/own-chiller")
    assert late.status_code == 409
    assert "replaced by own-chiller-v2" in text_of(late)


def test_two_who_change_one_problem_lose_nothing(visitor, known, typed):
    keep(visitor, typed())
    here, marks = f"{HOME}banks/own/problems/own-chiller", change_form(visitor)
    assert keep(visitor, typed(title="Theirs") | marks, here).status_code == 303
    late = keep(visitor, typed(title="Mine") | marks, here)
    assert late.status_code == 409
    page = late.get_data(as_text=True)
    assert "Somebody else has changed this problem" in page
    assert re.search(r'scope="row">title</th><td>Theirs</td><td>Mine</td>', page)
    assert 'value="Mine"' in page
    assert known().problems["own-chiller"].title == "Theirs"
    again = {"seen": hidden(page, "seen"), "entry_seen": hidden(page, "entry_seen")}
    assert keep(visitor, typed(title="Mine") | again, here).status_code == 303
    assert known().problems["own-chiller"].title == "Mine"


def test_two_who_change_different_problems_of_a_bank_both_keep(visitor, known, typed):
    keep(visitor, typed())
    keep(visitor, typed(id="second"))
    first, second = change_form(visitor), change_form(visitor, "second")
    keep(visitor, typed(title="Roof") | first, f"{HOME}banks/own/problems/own-chiller")
    keep(visitor, typed(title="Floor") | second, f"{HOME}banks/own/problems/second")
    assert "both are kept" in visitor.page(HOME)
    assert [known().problems[name].title for name in ("own-chiller", "second")] == ["Roof", "Floor"]


def test_a_problem_that_has_gone_meanwhile_is_not_lost(visitor, data, typed):
    keep(visitor, typed())
    marks = change_form(visitor)
    (data / "question_banks" / "own.toml").write_text(SHEET, "utf-8")
    late = keep(visitor, typed(title="Mine") | marks, f"{HOME}banks/own/problems/own-chiller")
    assert late.status_code == 409
    assert 'value="Mine"' in late.get_data(as_text=True)
    assert visitor.get(f"{HOME}banks/own/problems/own-chiller").status_code == 404


def post_text(visitor, text, do="keep", address=f"{HOME}bank", **more):
    return visitor.post(address, do=do, text=text, **({"name": "own"} | more))


def test_a_bank_given_as_text_is_stored_and_worked(app, visitor, known):
    checked = post_text(visitor, SHEET, "check")
    assert (checked.status_code, "half-kiln" in known().problems) == (200, False)
    assert "Sound: the bank can be stored; nothing is stored yet." in text_of(checked)
    assert post_text(visitor, SHEET.replace("\n", "\r\n")).location == "/own-problems/#bank-own"
    learner = Visitor(app)
    sheet = learner.start("half-kiln")
    assert "Half of" in learner.page(sheet)
    assert learner.enter(sheet, "half", "3").status_code == 303
    page = visitor.page(HOME)
    assert "Half of a reading" in page


def test_a_bank_comes_from_a_file_too(visitor, known):
    form = {"csrf_token": visitor.csrf(), "do": "keep", "name": "own", "text": "ignored"}
    for content, status in ((b"\xff\xfe\x00", 400), (b"\xef\xbb\xbf" + SHEET.encode(), 303)):
        sent = form | {"file": (io.BytesIO(content), "../../evil.toml")}
        assert visitor.client.post(f"{HOME}bank", data=sent).status_code == status
    assert "half-kiln" in known().problems


def test_faults_of_a_text_are_told_and_nothing_is_stored(visitor, data):
    wrong = SHEET.replace("reading / 2", "__import__('os')").replace('"F"', '"<script>alert(1)</script>"')
    answer = post_text(visitor, wrong)
    assert answer.status_code == 400
    page = answer.get_data(as_text=True)
    assert "own.toml: half-of-it: half: value = __import__('os'): __import__ is no calculation here" in unescape(page)
    assert "<script>alert" not in page
    assert "__import__" in page.split("<textarea")[1]
    assert files(data) == []


def test_a_text_has_an_end(visitor, data):
    answer = post_text(visitor, "#" * (LARGEST_BANK + 1))
    assert answer.status_code == 400
    assert f"at most {LARGEST_BANK} bytes" in answer.get_data(as_text=True)
    assert post_text(visitor, "#" * 600_000).status_code == 413
    assert visitor.post("/papers/", text="#" * 70_000).status_code in (405, 413)
    assert files(data) == []


def test_who_stores_a_text_second_sees_theirs(visitor, data, known):
    post_text(visitor, SHEET)
    page = visitor.page(f"{HOME}banks/own/text")
    address, seen = f"{HOME}banks/own/text", hidden(page, "seen")
    assert post_text(visitor, SHEET + "# theirs\n", address=address, seen=seen).status_code == 303
    late = post_text(visitor, SHEET + "# mine\n", address=address, seen=seen)
    assert late.status_code == 409
    shown = late.get_data(as_text=True)
    assert "# theirs" in shown.split("<pre")[1].split("</pre>")[0]
    assert "# mine" in shown.split("<textarea")[1]
    assert post_text(visitor, SHEET + "# mine\n", address=address, seen=hidden(shown, "seen")).status_code == 303
    assert (data / "question_banks" / "own.toml").read_text("utf-8").endswith("# mine\n")
    assert len(texts_of(data, "own")) == 3


def test_a_new_bank_does_not_take_the_place_of_one_that_is_there(visitor, data):
    post_text(visitor, SHEET)
    assert post_text(visitor, SHEET + "# other\n").status_code == 409
    assert (data / "question_banks" / "own.toml").read_text("utf-8") == SHEET


def test_earlier_texts_can_be_opened(visitor):
    post_text(visitor, SHEET)
    address = f"{HOME}banks/own/text"
    post_text(visitor, SHEET + "# two\n", address=address, seen=hidden(visitor.page(address), "seen"))
    assert "# two" not in visitor.page(f"{address}?version=1")
    assert "# two" in visitor.page(f"{address}?version=2")
    assert visitor.get(f"{address}?version=9").status_code == 404
    assert visitor.get(f"{HOME}banks/other/text").status_code == 404


def test_what_was_worked_is_not_changed_by_a_text(app, visitor, data):
    post_text(visitor, SHEET)
    Visitor(app).start("half-kiln")
    address = f"{HOME}banks/own/text"
    changed = SHEET.replace("Half of it", "Other")
    answer = post_text(visitor, changed, address=address, seen=hidden(visitor.page(address), "seen"))
    assert answer.status_code == 400
    assert 'add replaced_by = "half-kiln-v2"' in text_of(answer)
    assert (data / "question_banks" / "own.toml").read_text("utf-8") == SHEET


def test_faults_of_files_laid_there_by_hand_are_shown(visitor, data):
    folder = data / "question_banks"
    folder.mkdir()
    (folder / "<b>by hand.toml").write_text(SHEET.replace('"F"', '"X"'), "utf-8")
    page = visitor.page(HOME)
    assert "half-kiln: level = X: is not known (F, W, A)" in page
    assert "<b>by hand" not in page
    assert "none that can be changed here" in page


@pytest.mark.parametrize(
    "query",
    [
        "",
        "count=1&low=0&high=x",
        "count=1&low=nan&high=1",
        "count=-1&low=0&high=1",
        "count=1&low=1&high=0",
        "count=9999999&low=0&high=1",
        "count=1&low=0&high=1&unit=apples",
        "count=1&low=0&high=1&decimals=x",
        "&".join(["count=1"] * 50) + "&low=0&high=1",
    ],
)
def test_there_is_no_figure_of_nonsense(visitor, query):
    assert visitor.get(f"{HOME}spread-light.svg?{query}").status_code == 400


def test_titles_are_shown_as_text(visitor, typed):
    keep(visitor, typed(title="<script>alert(1)</script>{{7*7}}"))
    for address in (HOME, f"{HOME}look/own-chiller", f"{HOME}banks/own/problems/own-chiller", "/skills/S3.2"):
        page = visitor.page(address)
        assert "<script>alert" not in page
        assert "{{7*7}}" in page
    figure = visitor.get(f"{HOME}spread-dark.svg?count=1&low=0&high=1&title=%3Cscript%3E")
    assert b"<script" not in figure.data


def test_looking_writes_nothing(app, visitor, data, typed):
    keep(visitor, typed())
    visitor.page(HOME)
    before, there = dump(app), files(data)
    for address in ("", "worksheets", "new?copy=own-chiller", "look/own-chiller", "bank", "banks/own/text"):
        visitor.page(HOME + address)
    visitor.page(f"{HOME}banks/own/problems/own-chiller")
    assert (dump(app), files(data)) == (before, there)


def test_a_forged_form_stores_nothing(visitor, data, typed):
    for token in (None, "x" * 91):
        assert visitor.post(f"{HOME}new", token, do="keep", **typed()).status_code == 403
        assert visitor.post(f"{HOME}bank", token, do="keep", name="own", text=SHEET).status_code == 403
    assert files(data) == []
