"""A page is refused for each thing a letter must not hold, and for nothing else."""

import pytest

from coachlib.errors import ReportProblem
from coachlib.report.page.gate import MAX_BYTES, check_page
from coachlib.report.page.names import LookOut
from coachlib.report.page.page import CONTENT_POLICY

POLICY = f'<meta http-equiv="Content-Security-Policy" content="{CONTENT_POLICY}">'
PAGE = (
    f'<!DOCTYPE html><html lang="en"><head>{POLICY}<meta charset="utf-8"><title>Ada</title>'
    "<style>p{}</style></head><body><main><h1>Ada</h1><p>A calm week.</p>BODY</main></body></html>"
)

GOOD = [
    "<p>None of your sessions was hard. None was long.</p>",
    '<div class="note"><p>Your nan is right, None is easier.</p></div>',
    '<p class="words">null bock, honestly undefined</p>',
    '<p class="words">easy /hard/long as I liked; the file: lost</p>',
    "<p>5:44 per km, 10.0 km/h at 6 %, 12/11/2026, and/or, 1 / 2 / 3</p>",
    "<p>See example.org/route or https://example.org/a/b, in words.</p>",
    '<svg class="chart" viewBox="0 0 9 9"><path d="M0,0h9Z" transform="translate(1,2)">'
    '<title>Mon: 5</title></path><g clip-path="url(#part0-1a)"></g></svg>',
    "<details><summary>The numbers</summary><table><caption>c</caption></table></details>",
    '<span class="bar"><span style="width:93%">54</span></span><q>Legs fresh.</q>',
    "<p>Robertas banana, Bertalan and the nanometre</p>",
]

BAD = [
    ("<script>x</script>", "a 'script' element"),
    ("<script src='https://example.org/x.js'></script>", "a 'script' element"),
    ("<p onclick='x()'>a</p>", "the attribute 'onclick'"),
    ("<svg onload='x()'></svg>", "the attribute 'onload'"),
    ("<details ontoggle=x>", "the attribute 'ontoggle'"),
    ("<img src='data:image/png;base64,AA'>", "a 'img' element"),
    ("<a href='https://example.org'>x</a>", "a 'a' element"),
    ("<iframe srcdoc='x'></iframe>", "a 'iframe' element"),
    ("<object data='x'></object>", "a 'object' element"),
    ("<form action='x'></form>", "a 'form' element"),
    ("<link rel=stylesheet href=x>", "a 'link' element"),
    ("<base href='https://example.org'>", "a 'base' element"),
    ("<svg><image href='x'/></svg>", "a 'image' element"),
    ("<svg><foreignObject></foreignObject></svg>", "a 'foreignobject' element"),
    ("<svg><path fill='https://example.org/x'/></svg>", "the address 'https://example.org/x'"),
    ("<svg><path xlink:href='x'/></svg>", "the attribute 'xlink:href'"),
    ("<style>p{background:url(https://example.org/x)}</style>", "a style that loads something"),
    ("<style>@import 'x'</style>", "a style that loads something"),
    ("<p style='background:url(//example.org)'>a</p>", "a style that loads something"),
    ("<!-- made by hand -->", "a comment"),
    ("<p>Wrote /home/coach/roster/ada.fit</p>", "what looks like a file path"),
    ("<p title='/Users/coach/ada'>a</p>", "what looks like a file path"),
    (r"<p>C:\Users\coach</p>", "what looks like a file path"),
    ('<p class="words">see /home/coach/x</p>', "what looks like a file path"),
    ("<p>file:///x</p>", "what looks like a file path"),
    ("<p>Heart rate nan bpm</p>", "the unset value 'nan'"),
    ("<td>NaN</td>", "the unset value 'NaN'"),
    ("<td>NaT</td>", "the unset value 'NaT'"),
    ("<td>None</td>", "the unset value 'None'"),
    ("<p>Drift 1.3 % (None to 2.2)</p>", "the unset value 'None'"),
    ("<p>None bpm</p>", "the unset value 'None'"),
    ("<p>undefined km</p>", "the unset value 'undefined'"),
    ("<p>[object Object]</p>", r"the unset value '\[object '"),
    ("<h1>Again</h1>", "no first heading, or several"),
    (f"<p>{'x' * MAX_BYTES}</p>", "300 kB where 300 kB are the most"),
]


@pytest.mark.parametrize("body", GOOD)
def test_a_clean_page_passes(body):
    check_page(PAGE.replace("BODY", body), look_out=LookOut(others=["Berta Ro"]))


@pytest.mark.parametrize(("body", "why"), BAD)
def test_what_a_letter_must_not_hold_is_refused(body, why):
    with pytest.raises(ReportProblem, match=f"the page holds .*{why}.*may not be kept or sent like this"):
        check_page(PAGE.replace("BODY", body))


@pytest.mark.parametrize(
    ("part", "why"),
    [
        ("<!DOCTYPE html>", "no document type at its start"),
        (POLICY, "no content policy as the first entry of its head"),
        (' lang="en"', "no language"),
        ("<title>Ada</title>", "no title"),
        ("<h1>Ada</h1>", "no first heading"),
    ],
)
def test_what_every_letter_needs_is_asked_for(part, why):
    with pytest.raises(ReportProblem, match=why):
        check_page(PAGE.replace(part, ""))


def test_a_policy_after_something_else_is_refused():
    late = PAGE.replace(POLICY, "").replace("<title>", f"{POLICY}<title>")
    with pytest.raises(ReportProblem, match="no content policy as the first entry"):
        check_page(late)


@pytest.mark.parametrize(
    "body",
    [
        "<p>The ride with Berta</p>",
        "<p>the ride with BERTA’s bike</p>",
        '<div class="note">Berta</div>',
        '<svg aria-label="Berta and Ada"></svg>',
        "<svg><path><title>Berta: 5</title></path></svg>",
        "<p>Ber&#116;a</p>",
        "<p>Ber<em>ta</em></p>",
        "<p><b>Berta</b><span>rides</span></p>",
        "<p>Ber&#8203;ta</p>",
        "<ul><li>Ada</li><li>Berta</li></ul>",
    ],
)
def test_another_athletes_name_is_refused_until_it_is_allowed(body):
    page = PAGE.replace("BODY", body)
    with pytest.raises(ReportProblem, match=r"another athlete, 'Berta', in “.*Take the name out"):
        check_page(page, look_out=LookOut(others=["Berta", "Cem"]))
    check_page(page, look_out=LookOut(others=["Berta", "Cem"], allowed=["Berta"]))


def test_a_name_of_several_words_is_found_over_a_line_end():
    page = PAGE.replace("BODY", "<p>with ana\n maría ruiz</p>")
    with pytest.raises(ReportProblem, match=r"'Ana'.*'Ruiz'"):
        check_page(page, look_out=LookOut(others=["Ana María Ruiz"]))


@pytest.mark.parametrize(
    "numbers",
    [
        {"remarks": "with Berta"},
        {"sessions": [{"recording": "2026-10-03_with_berta"}]},
        {"note": "Bertas group"},
        {"deep": {"deeper": ["x", ("y", "Berta")]}},
    ],
)
def test_the_numbers_beside_a_page_are_read_too(numbers):
    with pytest.raises(ReportProblem, match="another athlete, 'Berta'"):
        check_page(PAGE, numbers=numbers, look_out=LookOut(others=["Berta Holm"]))
    check_page(PAGE, numbers=numbers, look_out=LookOut(others=["Cem Holm"]))


def test_a_path_among_the_numbers_is_refused():
    with pytest.raises(ReportProblem, match="a file path, in '/home/coach/roster', among its numbers"):
        check_page(PAGE, numbers={"x": "/home/coach/roster"})


#: The program's own words stand outside what people typed; the same words typed may be a name.
@pytest.mark.parametrize(
    "words", ["Ride with Mark on Tuesday.", "then Will paced you", "Long run, May ahead"]
)
def test_what_people_typed_is_not_exempt(words):
    look_out = LookOut(others=["Mark Holm", "Will Holm", "May Holm"])
    with pytest.raises(ReportProblem, match="name of another athlete"):
        check_page(PAGE.replace("BODY", f'<div class="note"><p>{words}</p></div>'), look_out=look_out)


def test_the_programs_own_words_are_exempt():
    look_out = LookOut(others=["Will May", "Mark Day", "Easy Long", "Monday Rest", "Banister Note"])
    check_page(
        PAGE.replace("BODY", "<p>Monday 4 May: you will rest, a day of easy heart rate.</p>"),
        look_out=look_out,
    )


def test_the_sample_letter_passes(letter):
    check_page(letter, look_out=LookOut(others=["Berta"]))
    assert len(letter.encode()) < 40_000


WAY = "../anna/reports/2026-W41.html"


def test_a_page_may_link_only_where_it_was_told_it_may():
    check_page(PAGE.replace("BODY", f'<a href="{WAY}">letter</a>'), links=[WAY])
    for address in (
        "https://example.org/x",
        "//example.org/x",
        "javascript:alert(1)",
        "../../elsewhere.html",
        WAY + "#x",
        " " + WAY,
        WAY.upper(),
        "",
    ):
        with pytest.raises(ReportProblem, match="a link to"):
            check_page(PAGE.replace("BODY", f'<a href="{address}">x</a>'), links=[WAY])
    with pytest.raises(ReportProblem, match="the attribute 'target'"):
        check_page(PAGE.replace("BODY", f'<a href="{WAY}" target="x">x</a>'), links=[WAY])


def test_a_page_for_an_athlete_links_nowhere():
    with pytest.raises(ReportProblem, match="a 'a' element"):
        check_page(PAGE.replace("BODY", f'<a href="{WAY}">letter</a>'))
