"""The desk's server as a stranger, a coach and a page meet it, without a browser."""

import http.cookiejar
import json
import re
import socket
import time
import urllib.error
import urllib.request

import desk_in_browser
import pytest
from panel_roster import write_roster


class Visitor:
    """Asks the desk, and remembers its cookies."""

    def __init__(self, base):
        self.base = base
        self.jar = http.cookiejar.CookieJar()
        self._opener = urllib.request.build_opener(
            urllib.request.ProxyHandler({}), urllib.request.HTTPCookieProcessor(self.jar)
        )

    def ask(self, address, **options):
        url = address if address.startswith("http") else self.base + address
        try:
            return self._opener.open(urllib.request.Request(url, **options), timeout=120)
        except urllib.error.HTTPError as answer:
            return answer

    def kernels(self):
        return self.ask("/api/kernels").read().decode()


@pytest.fixture(scope="module")
def served(tmp_path_factory):
    home, roster = tmp_path_factory.mktemp("home"), tmp_path_factory.mktemp("roster")
    write_roster(roster, seconds=1800)
    reports = roster / "mira" / "reports"
    reports.mkdir()
    (reports / "2026-W40.html").write_text("<script>alert(1)</script><p>A week</p>")
    with desk_in_browser.desk(roster, home) as way_in:
        base = way_in.split("/desk/")[0]
        coach = Visitor(base)
        coach.ask(way_in)
        coach.roster = roster
        yield coach, way_in, home, base


def test_it_answers_on_this_machine_only(served):
    assert served[3].startswith("http://127.0.0.1:")


def test_the_way_in_opens_once_and_strangers_see_no_page(served):
    _, way_in, _, base = served
    stranger = Visitor(base)
    closed = stranger.ask(way_in)
    assert closed.status == 403
    assert "opens it once only" in closed.read().decode()
    for address in ("/desk", "/desk/roster", "/desk/made/mira/2026-W40.html", "/desk/behind/roster", "/lab"):
        page = stranger.ask(address)
        assert "/login" in page.url, address
        assert "no key to the desk" in page.read().decode()
    assert stranger.ask("/api/contents").status == 403
    assert stranger.ask("/voila/api/shutdown/x", data=b"", method="POST").status == 403


def test_pages_say_what_they_may_load_and_hold_no_token(served):
    coach, _, home, _ = served
    page = coach.ask("/desk/zones?athlete=mira")
    text = page.read().decode()
    policy = page.headers["Content-Security-Policy"]
    nonce = re.search(r"'nonce-([\w-]+)'", policy)[1]
    assert "default-src 'none'" in policy
    assert "'unsafe-eval'" not in policy
    assert "script-src 'self' 'unsafe-inline'" not in policy
    assert re.findall(r"<script(?! nonce| id=\"jupyter-config-data\"| type=\"application)", text) == []
    assert f'nonce="{nonce}"' in text
    assert page.headers["Cache-Control"] == "no-store"
    for words in (text, (home / "desk.log").read_text()):
        assert "token" not in re.sub("xsrf_token", "", words)
    assert nonce not in coach.ask("/desk/zones?athlete=mira").headers["Content-Security-Policy"]


def test_scripts_are_asked_for_once(served):
    coach, *_ = served
    page = coach.ask("/desk/letter?athlete=mira").read().decode()
    script = coach.ask(re.search(r'src="(/voila/static/[^"]+/voila.js)"', page)[1])
    assert script.status == 200
    assert "immutable" in script.headers["Cache-Control"]


def test_the_rosters_own_sheet_is_the_page_whose_links_lead_on(served):
    coach, *_ = served
    reports = coach.roster / "reports"
    reports.mkdir()
    (reports / "2026-W40.html").write_text('<a href="../mira/diary.csv">diary</a>')
    assert coach.ask("/desk/made/2026-W40.html").url.endswith("/desk/roster?week=2026-W40")


def test_what_was_made_is_shown_with_its_scripts_blocked(served):
    page = served[0].ask("/desk/made/mira/2026-W40.html")
    assert page.read() == b"<script>alert(1)</script><p>A week</p>"
    policy = page.headers["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert "sandbox" in policy
    assert "allow-scripts" not in policy


@pytest.mark.parametrize(
    "address",
    [
        "/desk/made/mira/..%2F..%2Froster.toml.html",
        "/desk/made/..%2Fmira/2026-W40.html",
        "/desk/made/mira/%2e%2e/%2e%2e/x.html",
        "/files/..%2F..%2Froster.toml",
        "/files/../../roster.toml",
        "/view/..%2F..%2Froster.toml",
        "/voila/files/../../roster.toml",
        "/voila/static/..%2F..%2Fetc%2Fpasswd",
        "/voila/render/recording.ipynb",
        "/voila/tree",
        "/terminals/1",
        "/desk/nowhere",
        "/desk/recording?athlete=nobody",
        "/desk/recording?athlete=mira&roster=%2Fetc",
    ],
)
def test_nothing_else_is_served(served, address):
    answer = served[0].ask(address)
    text = answer.read().decode(errors="replace")
    assert answer.status in (403, 404), (address, answer.status)
    assert "Test roster" not in text
    assert "root:" not in text


def test_there_are_no_terminals(served):
    assert served[0].ask("/api/terminals").status == 404


def test_a_page_without_anything_to_click_leaves_no_process_behind(served):
    coach, *_ = served
    page = coach.ask("/desk/roster?week=2026-W40").read().decode()
    assert "Call sheet" in page
    assert 'voila.js"></script>' not in page
    for _ in range(50):
        if '"id"' not in coach.kernels():
            break
        time.sleep(0.2)
    assert page


def test_leaving_a_page_ends_its_process(served):
    coach, *_ = served
    page = coach.ask("/desk/recording?athlete=mira").read().decode()
    kernel = re.search(r'"kernelId": "([\w-]+)"', page)[1]
    assert kernel in coach.kernels()
    xsrf = next(cookie.value for cookie in coach.jar if cookie.name == "_xsrf")
    left = coach.ask(f"/voila/api/shutdown/{kernel}", data=b"", method="POST", headers={"X-XSRFToken": xsrf})
    assert left.status == 204
    assert kernel not in coach.kernels()


def test_pages_left_at_once_keep_no_process_and_the_next_page_comes(served):
    coach, *_, base = served
    cookies = "; ".join(f"{cookie.name}={cookie.value}" for cookie in coach.jar)
    host, port = base.removeprefix("http://").split(":")
    for _ in range(12):
        with socket.create_connection((host, int(port))) as left:
            asked = (
                f"GET /desk/zones?athlete=mira HTTP/1.1\r\nHost: {host}:{port}\r\nCookie: {cookies}\r\n\r\n"
            )
            left.sendall(asked.encode())
            assert left.recv(15) == b"HTTP/1.1 200 OK"
    page = coach.ask("/desk/zones?athlete=mira").read().decode()
    kernel = re.search(r'"kernelId": "([\w-]+)"', page)[1]
    for _ in range(300):
        if coach.kernels().count('"id"') == 1:
            break
        time.sleep(0.2)
    assert [model["id"] for model in json.loads(coach.kernels())] == [kernel]


def test_the_way_behind_a_page_opens_its_workbook_on_its_subject(served):
    lab = served[0].ask("/desk/behind/recording?athlete=mira&recording=2026-10-03_treadmill")
    assert lab.url.endswith("/lab/tree/recording.ipynb")
    assert "frame-ancestors 'self'" in lab.headers["Content-Security-Policy"]
    copy = served[0].ask("/api/contents/recording.ipynb?type=notebook").read().decode()
    assert "recording = '2026-10-03_treadmill'" in copy
