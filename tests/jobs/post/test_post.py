"""Mail drafts and calendars, read back by the standard library and by readers of other people."""

import io
import re
from datetime import UTC, date, datetime
from email import message_from_bytes, policy
from types import SimpleNamespace

import fast_mail_parser
import pytest
import vobject
from rosters import fit_data, make_roster, put, wandering

from coachlib.errors import BadArgument
from coachlib.files.roster.folder import open_roster
from coachlib.jobs.fingerprint import fingerprint
from coachlib.jobs.letters import BOOK
from coachlib.jobs.post.calendar import Entry, calendar_bytes
from coachlib.jobs.post.draft import PREVIEW_LETTERS, Draft, draft_bytes
from coachlib.jobs.post.posting import post
from coachlib.jobs.publishing import Page, publish
from coachlib.jobs.recordings import Recordings
from coachlib.report.page.blocks import Html

NOW = datetime(2026, 11, 30, 8, 0, tzinfo=UTC)
LETTER = b"<!doctype html><html><head><title>x</title></head><body><p>Gr\xc3\xbc\xc3\x9fe</p></body></html>"


def draft(**changes):
    said = {
        "name": "Mira Example", "address": "mira@example.org", "week": "16 to 22 November 2026",
        "sentences": ("Four sessions this week, 5 h 10 in all.", "131 of 135 easy minutes stayed at or below 126 bpm."),
        "one_thing": "See a physician first, before any training.", "coach": "Jo Coach",
    }  # fmt: skip
    return Draft(**{**said, **changes})


def read(data):
    return message_from_bytes(data, policy=policy.default)


def text_of(mail):
    return mail.get_body(("plain",)).get_content()


def test_a_draft_is_unsent_and_reads_the_same_in_two_readers():
    data = draft_bytes(draft(), {"2026-W47.html": LETTER})
    mail, other = read(data), fast_mail_parser.parse_email(data)
    assert (mail["X-Unsent"], other.headers["X-Unsent"]) == ("1", ["1"])
    assert {h.lower() for h in mail.keys()} == {"x-unsent", "to", "subject", "content-type", "mime-version"}  # noqa: SIM118
    assert mail["Subject"] == other.subject == "Your letter, 16 to 22 November 2026"
    assert [a.addr_spec for a in mail["To"].addresses] == ["mira@example.org"]
    assert text_of(mail).split() == other.text_plain[0].split() == draft().text.split()
    (attached,) = mail.iter_attachments()
    assert (attached.get_filename(), attached.get_content_type()) == ("2026-W47.html", "text/html")
    assert attached.get_payload(decode=True) == LETTER
    (same,) = other.attachments
    assert (same.filename, bytes(same.content)) == ("2026-W47.html", LETTER)
    assert not mail.defects


def test_what_a_locked_phone_shows_tells_nothing():
    told = draft(has_calendar=True)
    begin = " ".join(told.text.split())[:PREVIEW_LETTERS]
    for secret in ("physician", "bpm", "sessions", "126", "5 h 10", "easy"):
        assert secret not in begin + told.subject
        assert secret in told.text


def test_the_file_is_plain_ascii_with_the_line_ends_of_mail():
    data = draft_bytes(draft(name="Zoë Müller-Łukasik", coach="Jörg"), {"a.html": LETTER})
    assert data.isascii()
    assert b"\n" not in data.replace(b"\r\n", b"")
    assert max(map(len, data.split(b"\r\n"))) <= 998
    assert read(data)["To"].addresses[0].display_name == "Zoë Müller-Łukasik"
    assert "Jörg" in text_of(read(data))


@pytest.mark.parametrize(
    "name",
    ["Mira\r\nBcc: berta@example.org", "Mira\nX-Spy: 1", 'Mira "The <Fast>" O\'Neil, Jr.', "=SUM(A1)", "a@b.c, d@e.f",
     "Мира Петрова", "美良", "M" * 300, "Mira\u2028Bcc: x@example.org"],
)  # fmt: skip
def test_no_name_makes_a_second_receiver_or_another_header(name):
    data = draft_bytes(draft(name=name), {"a.html": LETTER})
    mail, other = read(data), fast_mail_parser.parse_email(data)
    assert [a.addr_spec for a in mail["To"].addresses] == ["mira@example.org"]
    for headers in (mail, other.headers):
        assert not {"bcc", "cc", "x-spy"} & {h.lower() for h in headers.keys()}  # noqa: SIM118
    assert mail["Subject"].startswith("Your letter")


def test_an_address_that_programs_may_not_take_is_refused():
    with pytest.raises(BadArgument, match=r"zoë@example.org holds letters that not every mail program takes"):
        draft_bytes(draft(address="zoë@example.org"), {})


ENTRIES = (
    Entry(on=date(2026, 11, 30), nth=1, summary="easy, 50 min"),
    Entry(
        on=date(2026, 12, 2),
        nth=1,
        summary="short hard; hills, " + "é" * 80,
        details="4 x 4 min\\n, rest 2 min",
    ),
)


def test_a_calendar_reads_the_same_in_two_readers():
    import icalendar

    data = calendar_bytes(ENTRIES, whose="mira", now=NOW)
    assert all(len(line) <= 75 for line in data.split(b"\r\n"))
    events = icalendar.Calendar.from_ical(data).walk("VEVENT")
    others = vobject.readOne(data.decode()).vevent_list
    for entry, event, other in zip(ENTRIES, events, others, strict=True):
        assert event["SUMMARY"] == other.summary.value == entry.summary
        assert event["DTSTART"].dt == other.dtstart.value == entry.on
        assert event["DTSTAMP"].dt == other.dtstamp.value == NOW
        assert event["UID"] == other.uid.value
    assert others[1].description.value == ENTRIES[1].details


def test_a_later_calendar_takes_the_place_of_the_earlier():
    one, two = (
        vobject.readOne(calendar_bytes(ENTRIES, whose="mira", now=at).decode()).vevent_list[0]
        for at in (NOW, NOW.replace(hour=9))
    )
    assert one.uid.value == two.uid.value
    assert int(two.sequence.value) > int(one.sequence.value)
    assert "mira" not in one.uid.value


@pytest.fixture
def roster(tmp_path):
    folder = make_roster(tmp_path / "roster", "mira", "berta", "tom")
    for slug in ("mira", "berta"):
        put(folder / slug, "run.fit", fit_data(wandering(1200)))
        profile = folder / slug / "athlete.toml"
        profile.write_text(profile.read_text() + f'email = "{slug}@example.org"\n')
    return folder


def week_of_run(folder):
    from coachlib.jobs.history import latest_week

    return latest_week(open_roster(folder), today=date(2026, 11, 30))


def letters(folder, week, *slugs):
    """Letters as the week's command would have made them."""
    for slug in slugs:
        roster = open_roster(folder)
        own = roster.athlete(slug)
        made_from = fingerprint(roster, [own], BOOK, week)
        page = Page(
            name=week,
            title="x",
            blocks=(Html("<h1>Letter</h1>"),),
            numbers={"a": 1},
            week=week,
            made_from=made_from,
        )
        publish(page, own, roster)


def posted(folder, **options):
    told = io.StringIO()
    status = post(open_roster(folder), today=date(2026, 11, 30), now=NOW, out=told, **options)
    return SimpleNamespace(status=status, told=told.getvalue())


def test_each_gets_a_draft_of_their_own_and_who_gets_none_is_told(roster):
    week = week_of_run(roster)
    letters(roster, week, "mira")
    found = posted(roster)
    drafts = sorted(path.relative_to(roster).as_posix() for path in roster.rglob("*.eml"))
    assert drafts == [f"mira/reports/{week}.eml"]
    assert re.search(r"Berta Example +none +left out: there is no letter for ", found.told)
    assert re.search(r"Tom Example +none +left out: no address", found.told)
    assert found.status == 1
    data = (roster / "mira" / "reports" / f"{week}.eml").read_bytes()
    assert b"berta" not in data.lower()
    assert (roster / "mira" / "reports" / f"{week}.eml").stat().st_mode & 0o077 == 0


def test_a_letter_that_no_longer_holds_is_not_sent_on(roster):
    week = week_of_run(roster)
    letters(roster, week, "mira", "berta")
    assert posted(roster, athletes=("mira", "berta")).status == 0
    own = open_roster(roster).athlete("mira")
    (session,) = Recordings(folder=open_roster(roster), own=own).open()
    (roster / "mira" / "diary.csv").write_text(f"date,health\n{session.on},ill\n")
    told = posted(roster, athletes=("mira",)).told
    assert "its letter is not sent on, diary.csv changed since" in told


def test_another_athletes_name_stops_the_draft(roster):
    week = week_of_run(roster)
    begins = date.fromisocalendar(int(week[:4]), int(week[6:]) + 1, 2)
    (roster / "mira" / "diary.csv").write_text(f"date,planned,planned_min\n{begins},easy with Berta,50\n")
    letters(roster, week, "mira")
    found = posted(roster, athletes=("mira",), calendar=True)
    assert "holds the name of another athlete" in found.told
    assert not list(roster.rglob("*.eml"))
    assert not list(roster.rglob("*.ics"))


def test_the_calendar_holds_the_planned_days_of_the_week_after(roster):
    week = week_of_run(roster)
    first = date.fromisocalendar(int(week[:4]), int(week[6:]) + 1, 1)
    rows = [
        (first, "", "easy", 50),
        (first.replace(day=first.day + 1), "", "rest", ""),
        (first.replace(day=first.day + 2), "4 x 4 min", "short hard", 60),
    ]
    (roster / "mira" / "diary.csv").write_text(
        "date,planned,target,planned_min\n" + "".join(f"{on},{p},{t},{m}\n" for on, p, t, m in rows)
    )
    letters(roster, week, "mira")
    assert posted(roster, athletes=("mira",), calendar=True).status == 0
    mail = read((roster / "mira" / "reports" / f"{week}.eml").read_bytes())
    attached = {part.get_filename(): part.get_payload(decode=True) for part in mail.iter_attachments()}
    assert set(attached) == {f"{week}.html", "planned.ics"}
    events = vobject.readOne(attached["planned.ics"].decode()).vevent_list
    assert [(e.dtstart.value, e.summary.value) for e in events] == [
        (first, "easy, 50 min"), (rows[2][0], "short hard, 60 min"),
    ]  # fmt: skip
    assert (roster / "mira" / "reports" / f"{week}.ics").read_bytes() == attached["planned.ics"]


def test_two_at_one_address_are_told(roster):
    profile = roster / "berta" / "athlete.toml"
    profile.write_text(profile.read_text().replace("berta@", "mira@"))
    week = week_of_run(roster)
    letters(roster, week, "mira", "berta")
    assert "Berta Example and Mira Example have the same address: is that meant?" in posted(roster).told
