"""What is no page is read as its reader's program reads it, before it may leave."""

import csv
import io
import json
from email.message import EmailMessage

import pytest
from report.page.test_names import LOOK_OUT as OTHERS_LOOK_OUT
from report.page.test_names import SPELLINGS

from coachlib.errors import ReportProblem
from coachlib.report.page.names import LookOut
from coachlib.report.page.other_files import MAX_BYTES, check_file

LOOK_OUT = LookOut(
    others=["Berta Nuñez", "Will Holm"],
    own="Anna Example",
    coach="Will Oldacre",
    addresses=["run77@example.org"],
)


def mail(body="Hello Anna,\n\na calm week.\n", **more):
    made = EmailMessage()
    made["From"], made["To"], made["Subject"] = (
        "coach@example.org",
        "anna@example.org",
        more.pop("subject", "Week"),
    )
    made["X-Unsent"] = "1"
    made.set_content(body, **more)
    return made


def table(*rows):
    text = io.StringIO()
    csv.writer(text).writerows(rows)
    return text.getvalue().encode()


CALENDAR = "BEGIN:VCALENDAR\r\nPRODID:-//coachlib//EN\r\nBEGIN:VEVENT\r\nSUMMARY:{}\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n"


def calendar(said):
    return CALENDAR.format(said).encode()


def with_calendar():
    made = mail()
    made.add_attachment(calendar("With Ber\r\n ta"), maintype="text", subtype="calendar", filename="week.ics")
    return made.as_bytes()


def with_a_named_part():
    made = mail()
    made.add_attachment(b"day\r\n", maintype="text", subtype="csv", filename="ride with Berta.csv")
    return made.as_bytes()


def nested():
    outer = mail()
    outer.make_mixed()
    inner = mail("with Berta")
    outer.attach(inner)
    return outer.as_bytes()


NAMING = [
    ("a.txt", b"with Berta"),
    ("a.md", "\ufeffBerta".encode()),
    ("with Berta.txt", b"x"),
    ("a.csv", table(["day", "remarks"], ["2026-10-05", "hills,\nwith Nunez"])),
    ("a.json", json.dumps({"remarks": "with \u0042erta"}).encode()),
    ("a.ics", calendar("Ride with Berta")),
    ("a.ics", calendar("Ride with Ber\r\n ta")),
    ("a.ics", calendar("Ride\\, Ber\r\n\tta\\nat noon")),
    ("a.ics", calendar('x\r\nATTENDEE;CN="Berta":mailto:x@example.org')),
    ("a.ics", calendar("x\r\nX-NOTE:run77@example.org")),
    ("a.eml", mail("with Berta").as_bytes()),
    ("a.eml", mail("with Nuñez", cte="base64").as_bytes()),
    ("a.eml", mail("with Nuñez, " * 12, cte="quoted-printable").as_bytes()),
    ("a.eml", mail(subject="Nuñez, week 41").as_bytes()),
    ("a.eml", with_calendar()),
    ("a.eml", with_a_named_part()),
    ("a.eml", nested()),
    ("a.eml", mail("to RUN77@example.org").as_bytes()),
]


@pytest.mark.parametrize(("name", "data"), NAMING, ids=range(len(NAMING)))
def test_another_name_is_found_however_it_is_packed(name, data):
    with pytest.raises(ReportProblem, match=r"name of another athlete.*may not be kept or sent"):
        check_file(name, data, look_out=LOOK_OUT)


CLEAN = [
    ("a.txt", b"Hello Anna, a calm week. Nothing else."),
    ("a.csv", table(["day", "time"], ["2026-10-05", "and/or 5:30"])),
    ("a.json", b'{"n": [1, null, "x"]}'),
    ("a.ics", calendar("Easy run\\, 45 min")),
    ("a.eml", mail().as_bytes()),
    ("a.eml", mail("Grüße, " * 30).as_bytes()),
]


@pytest.mark.parametrize(("name", "data"), CLEAN, ids=range(len(CLEAN)))
def test_what_is_clean_leaves(name, data):
    check_file(name, data, look_out=LOOK_OUT)


UNCLEAN = [
    ("a.fit", b"x", "cannot be looked into"),
    ("a", b"x", "cannot be looked into"),
    ("a.txt", b"\xff\xfe", "as its ending says"),
    ("a.txt", b"a\x00b", "that nobody sees"),
    ("a.txt", b"see /home/coach/roster", "a file path"),
    ("a.ics", calendar("x\r\nATTACH:file:///home/coach/x"), "a file path"),
    ("a.json", b'{"x": ', "as its ending says"),
    ("a.json", b"[" * 200_000, "as its ending says"),
    ("a.csv", b'a,"b\nc', "as its ending says"),
    ("a.html", b"<script>x</script>", "'script' element"),
    ("a.txt", b"x" * (MAX_BYTES + 1), "are the most"),
    ("a.eml", b"Received: from desk\n" + mail().as_bytes(), "the mail header 'Received'"),
    ("a.eml", b"Message-ID: <1@coach-laptop>\n" + mail().as_bytes(), "the mail header 'Message-ID'"),
    (
        "a.eml",
        mail().as_bytes().replace(b"text/plain", b"application/zip"),
        "a part of kind 'application/zip'",
    ),
    ("a.eml", b"Content-Type: multipart/mixed; boundary=x\n\n--y\n", "in more than one way"),
]


@pytest.mark.parametrize(("name", "data", "why"), UNCLEAN, ids=range(len(UNCLEAN)))
def test_what_is_not_known_to_be_harmless_stays(name, data, why):
    with pytest.raises(ReportProblem, match=why):
        check_file(name, data, look_out=LOOK_OUT)


def test_the_programs_own_lines_are_exempt_and_no_others():
    body = "Will Oldacre\nWill you rest?\n"
    check_file("a.eml", mail(body).as_bytes(), look_out=LOOK_OUT, own_lines=body.splitlines())
    with pytest.raises(ReportProblem, match="'Will'"):
        check_file(
            "a.eml", mail("ride with Will\n").as_bytes(), look_out=LOOK_OUT, own_lines=body.splitlines()
        )


def test_a_page_in_a_mail_is_looked_at_like_any_page(letter):
    made = mail()
    made.add_attachment(letter.encode(), maintype="text", subtype="html", filename="2026-W41.html")
    check_file("a.eml", made.as_bytes(), look_out=LOOK_OUT)
    bad = mail()
    bad.add_attachment(letter.replace("</h1>", " and Berta</h1>").encode(), maintype="text", subtype="html")
    with pytest.raises(ReportProblem, match="'Berta'"):
        check_file("a.eml", bad.as_bytes(), look_out=LOOK_OUT)


def folded(words):
    """A line of a calendar, folded in the middle of everything."""
    return "\r\n ".join(words[at : at + 3] for at in range(0, len(words), 3))


@pytest.mark.parametrize(("words", "name"), SPELLINGS, ids=range(len(SPELLINGS)))
def test_every_spelling_of_a_name_is_found_in_every_kind_of_file(words, name):
    kinds = {
        "a.txt": words.encode(),
        "a.csv": table(["day", "remarks"], ["2026-10-05", f'"{words}"\n']),
        "a.json": json.dumps({"remarks": words}).encode(),
        "a.ics": calendar(folded(words)),
        "a.eml": mail(words).as_bytes(),
    }
    for called, data in kinds.items():
        with pytest.raises(ReportProblem, match="name of another athlete"):
            check_file(called, data, look_out=OTHERS_LOOK_OUT)
