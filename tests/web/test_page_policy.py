"""Who may do what: declared policies, forged forms, reading without writing, headers and cookies."""

from http.cookies import SimpleCookie

import pytest
from flask import abort
from policy_shop import PolicyShop
from web_visitors import BRINE, Visitor, dump, snapshot_of

from trainer.practice.accounts import add_person
from trainer.storage.accounts import LEARNER
from trainer.web.faults import HEADERS
from trainer.web.policy import policy_of


@pytest.fixture
def shop(app) -> PolicyShop:
    return PolicyShop(app)


def test_every_endpoint_says_who_may_use_it(app):
    silent = [rule.endpoint for rule in app.url_map.iter_rules() if policy_of(app, rule.endpoint) is None]
    assert silent == []


@pytest.mark.parametrize("method", ["get", "post"])
def test_an_endpoint_that_does_not_say_is_closed(app, method):
    app.add_url_rule("/probe", "probe", lambda: "open", methods=["GET", "POST"])
    visitor = Visitor(app)
    answer = visitor.get("/probe") if method == "get" else visitor.post("/probe")
    assert answer.status_code == 403
    assert "open to you" in answer.get_data(as_text=True)


# OWASP ASVS 5.0.0, V3.5.1: a state-changing request is known to come from a page of this program.
@pytest.mark.parametrize("forged", ["missing", "wrong", "another browser's"])
def test_a_forged_form_changes_nothing(app, shop, forged):
    token = {"missing": None, "wrong": "x" * 91, "another browser's": shop.other.csrf()}[forged]
    posts = shop.addresses("POST")
    assert len(posts) >= 60
    before = dump(app)
    for who in (shop.learner, shop.instructor):
        for address in posts:
            answer = who.post(address, token, mode="guided", step="fraction", entry="0.5", form_token="one")
            assert answer.status_code == 403, address
            assert "nothing was taken" in answer.get_data(as_text=True)
    assert dump(app) == before


# OWASP ASVS 5.0.0, V3.5.3: reading changes nothing, whoever reads.
def test_reading_a_page_changes_nothing(app, shop):
    shop.learner.post(f"{shop.sheet}/solution")
    gets = [*shop.addresses("GET"), *shop.addresses("GET", attempt_id=shop.attempt_id)]
    before = dump(app)
    for who in (shop.learner, shop.other, shop.instructor, Visitor(app)):
        for address in gets:
            answer = who.get(address, follow_redirects=True)
            # A bare address may want something more of a form, or have nothing to show.
            assert answer.status_code in (200, 400, 403, 404), (address, answer.status_code)
    assert dump(app) == before


def test_what_is_open_to_a_person_is_shown(shop):
    refused = {each: shop.learner.get(each).status_code for each in shop.addresses("GET", ("visitors",))}
    wanting = {each: code for each, code in refused.items() if code not in (200, 302, 303)}
    # The solved sheet of the set is not open yet; its solution leads back to it.
    assert wanting == {}
    for address in shop.addresses("GET", ("instructors",)):
        status = shop.instructor.get(address).status_code
        empty = any(part in address for part in ("/items/", "/evidence-", "spread-", "/banks/", "/figure/", "papers/"))
        assert status in ((200, 302, 303, 400, 404) if empty else (200, 302, 303)), (address, status)


# OWASP ASVS 5.0.0, V8.2.1 and V8.3.1: what is not open to somebody is refused, before anything is looked up.
def test_a_learner_is_refused_on_an_instructors_pages(app, shop):
    learner = Visitor(app)
    with shop.services.database.writing() as session:
        made = add_person(session, "Ada", LEARNER, shop.services.clock())
    words = "seven tinned ferrules"
    assert learner.post("/code", code=made.code, passphrase=words, again=words).status_code == 303
    before = dump(app)
    gets, posts = (shop.addresses(method, ("instructors",)) for method in ("GET", "POST"))
    assert len(gets) >= 35
    assert len(posts) >= 30
    for address in gets:
        assert learner.get(address).status_code == 403, address
        answer = Visitor(app).get(address)
        assert answer.status_code == 303
        assert answer.location.startswith("/sign-in?next=")
    for address in posts:
        assert learner.post(address).status_code == 403, address
        assert Visitor(app).post(address).status_code == 403, address
    assert dump(app) == before


def test_another_learners_ids_lead_nowhere(app, shop):
    own = ("attempt_id", "try_id", "set_id", "hunt_id", "task_id")
    rules = [rule for rule in app.url_map.iter_rules() if policy_of(app, rule.endpoint) == "visitors"]
    mine = {rule.endpoint for rule in rules if rule.arguments & set(own)}
    assert len(mine) >= 15
    before = dump(app)
    for method in ("GET", "POST"):
        for address in shop.addresses(method, ("visitors",), attempt_id=shop.attempt_id):
            theirs = (shop.attempt_id, shop.try_id, shop.set_id, shop.hunt_id, shop.task_id)
            if not any(str(each) in address for each in theirs):
                continue
            answer = (
                shop.other.get(address)
                if method == "GET"
                else shop.other.post(address, step="fraction", text="x", form_token="one")
            )
            assert answer.status_code == 404, (method, address)
    assert dump(app) == before


def answers(app, visitor) -> dict[int, object]:
    """One answer of each status."""
    app.add_url_rule("/breaks", "breaks", _breaks)
    app.view_functions["breaks"].open_to = "visitors"
    sheet = visitor.start()
    locked = snapshot_of(app, sheet).answer.name
    return {
        200: visitor.get("/"),
        303: visitor.post(f"/problems/{BRINE}/start", mode="guided"),
        304: visitor.get(
            f"{sheet}/figure/open-light.svg",
            headers={"If-None-Match": visitor.get(f"{sheet}/figure/open-light.svg").headers["ETag"]},
        ),
        400: visitor.post(f"/problems/{BRINE}/start", mode="shouted"),
        403: visitor.post(f"/problems/{BRINE}/start", None),
        404: visitor.get("/nowhere"),
        405: visitor.get(f"/problems/{BRINE}/start"),
        409: visitor.enter(sheet, locked, "1"),
        413: visitor.enter(sheet, locked, "1" * 70_000),
        500: visitor.get("/breaks"),
    }


def _breaks():
    raise KeyError("an unforeseen fault of this test")


# OWASP ASVS 5.0.0, V3.4; the directives are those of CSP Level 3.
def test_every_answer_carries_the_headers(app, visitor):
    for status, answer in answers(app, visitor).items():
        assert answer.status_code == status
        for name, value in HEADERS.items():
            assert answer.headers.getlist(name) == [value], (status, name)
        assert "Access-Control-Allow-Origin" not in answer.headers
        assert answer.headers["Cache-Control"] == "private, no-cache"


def test_static_files_carry_the_headers_too(visitor):
    answer = visitor.get("/static/sheet.js")
    assert {name: answer.headers[name] for name in HEADERS} == dict(HEADERS)


def test_the_content_policy_is_strict():
    policy = dict(part.strip().split(" ", 1) for part in HEADERS["Content-Security-Policy"].split(";"))
    assert {value for name, value in policy.items() if name.endswith("-src")} == {"'none'", "'self'"}
    for name in ("default-src", "object-src", "base-uri", "frame-ancestors"):
        assert policy[name] == "'none'"
    assert policy["form-action"] == "'self'"
    assert not any(word in HEADERS["Content-Security-Policy"] for word in ("unsafe", "*", "data:", "http"))
    assert HEADERS["X-Content-Type-Options"] == "nosniff"


# OWASP ASVS 5.0.0, V3.3; RFC 6265bis for the prefix __Host-.
@pytest.mark.parametrize(
    ("host", "name", "secure"),
    [("127.0.0.1", "__Host-trainer", True), ("localhost", "__Host-trainer", True), ("192.0.2.7", "trainer", False)],
)
def test_the_cookie_says_where_it_may_go(make_app, host, name, secure):
    app = make_app(host=host)
    answer = Visitor(app).get("/preferences/", base_url=f"http://{host}:8000/")
    (cookie,) = SimpleCookie(answer.headers["Set-Cookie"]).values()
    assert cookie.key == name
    assert bool(cookie["secure"]) == secure
    assert cookie["httponly"]
    assert (cookie["samesite"], cookie["path"], cookie["domain"]) == ("Lax", "/", "")


def test_an_unknown_host_is_refused_on_loopback(app, visitor):
    answer = visitor.get("/", base_url="http://trainer.example/")
    assert answer.status_code == 400
    assert answer.get_data(as_text=True) == "The trainer answers at 127.0.0.1 and localhost only."
    assert answer.headers["X-Content-Type-Options"] == "nosniff"


@pytest.mark.parametrize("status", [403, 404, 409])
def test_a_status_raised_by_a_view_is_a_page(app, status):
    app.add_url_rule("/refuses", "refuses", lambda: abort(status))
    app.view_functions["refuses"].open_to = "visitors"
    answer = Visitor(app).get("/refuses")
    assert answer.status_code == status
    assert "To the first page" in answer.get_data(as_text=True)
