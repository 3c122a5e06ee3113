"""Any text where a file of the roster should be: a sentence and nothing else, soon, and the others go on."""

import random
import time
import tomllib
from datetime import date
from datetime import time as clock
from pathlib import Path

import pytest
from decision_files import BOTH, FORMER
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from rosters import make_roster

from coachlib.errors import CoachError, RosterProblem
from coachlib.files.roster.decisionstext import decisions_bytes, decisions_of
from coachlib.files.roster.diarytext import read_diary
from coachlib.files.roster.folder import open_roster
from coachlib.files.roster.forms import MOST_PROBLEMS, fill
from coachlib.files.roster.loading import loaded
from coachlib.files.roster.rewriting import rewritten
from coachlib.files.roster.tomltext import decoded
from coachlib.records.athlete import Athlete, Medicine
from coachlib.records.decisions import Window
from coachlib.records.roster import RosterSettings

#: What one file may take to be read or refused on one core.  Own choice; the slowest measured takes a fifth.
LONGEST_S = 5.0
ABSURD = {
    "nested lists": "name = " + "[" * 100_000,
    "nested tables": "name = " + "{a=" * 100_000,
    "nested keys": ".".join(["a"] * 100_000) + " = 1",
    "nested headings": "[" + ".".join(["a"] * 100_000) + "]",
    "many digits": "\nbirth_year = " + "9" * 4_301,
    "digits that may just be read": "hr_max_bpm = " + "9" * 4_300,
    "a year of many digits": "birth_year = " + "9" * 4_300,
    "hexadecimal digits": "hr_max_bpm = 0x" + "f" * 100_000,
    "a hexadecimal year": "birth_year = 0x" + "f" * 100_000,
    "a huge power": "hr_max_bpm = 1e999",
    "no number": "hr_max_bpm = nan",
    "a long word": 'zones = "' + "z" * 100_000 + '"',
    "a long key": "z" * 100_000 + " = 1",
    "many keys": "".join(f"k{n} = 1\n" for n in range(5_000)),
    "many tables": "[[threshold]]\n" * 5_000,
    "headings in a text": 'name = 1\nnote = """\n' + "[[block]]\n" * 20_000 + '"""',
    "a table for a word": "name = {a = 1}",
    "a list for a table": "treadmill = [1, 2]",
    "lists of lists": "threshold = [[[1]]]",
    "tables in tables": "[[threshold.threshold]]\n[threshold.a]\n",
    "a moment for a day": '[[threshold]]\nwhich = "first"\nhr_bpm = 150\non = 2026-10-05T10:00:00Z',
    "an hour for a day": '[[threshold]]\nwhich = "first"\nhr_bpm = 150\non = 10:00:00',
    "no text": "\x01\x02\x7f",
    "another sign for a line": 'name = "M"\n# \u2028[[block]]\nfrom = 1',
    "too large": "#" * 600_000,
}


def told(call, *arguments, **given):
    """What a call gives, or None and its sentence; anything else is a bug."""
    before = time.process_time()
    try:
        return call(*arguments, **given), ""
    except CoachError as problem:
        return None, str(problem)
    finally:
        assert time.process_time() - before < LONGEST_S


def read(model, data, **given):
    """The record of a file, or None where it is refused in sentences of a length that people read."""
    record, sentence = told(loaded, model, data, "a.toml", given=given)
    assert (record is None) == sentence.startswith("a.toml")
    assert all(len(line) < 1200 for line in sentence.splitlines())
    return record


@pytest.mark.parametrize("text", ABSURD.values(), ids=ABSURD)
def test_an_absurd_text_is_refused_and_the_others_go_on(tmp_path, text):
    roster = open_roster(make_roster(tmp_path / "roster", "mira", "tom"))
    (roster.path / "mira" / "athlete.toml").write_bytes(text.encode())
    before = time.process_time()
    with pytest.raises(RosterProblem, match=r"^athlete.toml of mira"):
        roster.athlete("mira").athlete()
    assert time.process_time() - before < LONGEST_S
    assert roster.athletes() == ("mira", "tom")
    assert roster.athlete("Tom Example").athlete().name == "Tom Example"
    with pytest.raises(CoachError, match=r"^d.toml"):
        decisions_of(text.encode(), "d.toml")


def test_a_number_of_too_many_digits_is_told_with_its_line():
    with pytest.raises(RosterProblem, match=r"^a.toml, line 2 cannot be read: a number has too many digits$"):
        loaded(Athlete, ABSURD["many digits"].encode(), "a.toml")


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le", "utf-16-be"])
def test_another_encoding_is_told(encoding):
    with pytest.raises(RosterProblem, match=r"a.toml is written in UTF-16 or is no text; save it as UTF-8"):
        loaded(Athlete, 'name = "M"\n'.encode(encoding), "a.toml")


PROFILE = """\
# our Mira
schema = 1
name = "Mira Example"   # so
hr_max_bpm = 186
treadmill = {speed_step_kmh = 0.5}
[[threshold]]
which = "first"
on = 2026-04-01
hr_bpm = 152
sport = "running"
[[block]]
from = 2026-10-12
kind = "ill"
[[medicine]]
on = 2026-05-01
change = "begun"
"""
SETTINGS = (
    'name = "R"\nday_first = true\n[climate]\ncoldest_c = 1\nwarmest_c = 20\n[call_sheet]\nsilent_days = 3\n'
)
DIARY = (
    "date,start,rpe,talk,temperature_c,health,target,done_min,remarks\n"
    '2026-10-05,5:30 PM,3.5,comfortable,12.5,ok,easy,45,"easy, with Jürg"\n05.10.2026,,,,,,,,\n'
)
SIGNS = [
    "[",
    "]",
    "[[",
    '"',
    '"""',
    "'",
    "=",
    "\n",
    "#",
    ",",
    ";",
    "\t",
    "\0",
    "\ufeff",
    "\u2028",
    "9" * 40,
    ".",
    "é",
    "{",
]


def mutated(text, rng):
    """A text with a few slips: signs put in, taken out, lines lost, doubled or moved, bytes flipped."""
    for _ in range(rng.randint(1, 4)):
        at, to = sorted(rng.randrange(len(text) + 1) for _ in range(2))
        lines = text.splitlines(keepends=True) or [""]
        text = rng.choice(
            [
                text[:at] + rng.choice(SIGNS) + text[at:],
                text[:at] + text[min(to, at + 8) :],
                text[:at],
                "".join(rng.sample(lines, len(lines))),
                "".join(lines + rng.sample(lines, 1)),
            ]
        )
    data = bytearray(text.encode("utf-8", "surrogatepass"))
    if data and rng.random() < 0.3:
        data[rng.randrange(len(data))] = rng.randrange(256)
    return bytes(data)


@pytest.mark.parametrize("seed", range(20))
def test_slips_of_the_pen_are_read_or_told(seed):
    rng = random.Random(seed)
    for _ in range(60):
        profile = mutated(PROFILE, rng)
        athlete = read(Athlete, profile, slug="mira")
        if athlete is not None:
            changed = athlete.model_copy(
                update={"medicines": (*athlete.medicines, Medicine(on=date(2026, 6, 1), change="stopped"))}
            )
            rewritten_or_told(athlete, changed, decoded(profile, "a.toml"))
        read(RosterSettings, mutated(SETTINGS, rng))
        found = read_diary(mutated(DIARY, rng), "diary.csv", day_first=rng.choice([None, True, False]))
        assert all(problem.startswith("diary.csv") for problem in found.problems)


def rewritten_or_told(old, new, text):
    after, sentence = told(rewritten, text, old, new)
    if not sentence:
        assert loaded(Athlete, after.encode(), "a.toml", given={"slug": old.slug}) == new


@pytest.mark.parametrize("seed", range(20))
def test_slips_in_decisions_are_read_or_told_and_what_is_read_can_be_saved(seed):
    rng = random.Random(seed)
    both = decisions_bytes(None, "d.toml", BOTH).decode()
    for _ in range(40):
        data = mutated(rng.choice([FORMER, both]), rng)
        decided, sentence = told(decisions_of, data, "d.toml")
        if decided is None:
            assert sentence.startswith("d.toml")
            continue
        session = decided.parts[-1].model_copy(update={"windows": (Window(start_s=1, stop_s=7000),)})
        new = decided.with_part(session)
        assert decisions_of(decisions_bytes(data, "d.toml", new), "d.toml") == new


@settings(max_examples=100, deadline=LONGEST_S * 1000, suppress_health_check=[HealthCheck.too_slow])
@given(
    st.one_of(
        st.binary(max_size=300), st.text(max_size=200).map(lambda t: t.encode("utf-8", "surrogatepass"))
    )
)
def test_anything_at_all_is_read_or_told(data):
    read(Athlete, data, slug="mira")
    read(RosterSettings, data)
    assert all(p.startswith("diary.csv") for p in read_diary(data, "diary.csv").problems)
    with pytest.raises(CoachError, match=r"^d.toml"):
        decisions_of(data, "d.toml")


VALUES = st.recursive(
    st.one_of(
        st.none(),
        st.booleans(),
        st.integers(),
        st.floats(),
        st.text(max_size=20),
        st.dates(),
        st.datetimes(),
        st.times(),
    ).filter(lambda value: value is not None),
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.text(min_size=1, max_size=6), inner, max_size=3)
    ),
    max_leaves=5,
)


@settings(max_examples=100, deadline=None)
@given(
    st.dictionaries(
        st.sampled_from(
            ["name", "zones", "hr_max_bpm", "sports", "treadmill", "threshold", "block", "settled", "email"]
        ),
        VALUES,
    )
)
def test_any_value_under_any_key_is_read_or_told(typed):
    filled = fill(Athlete, typed, given={"slug": "mira"})
    assert (filled.record is None) == bool(filled.problems)
    assert all(isinstance(problem, str) and problem for problem in filled.problems)


# the diary ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("sign", [";", ",", "\t", "|"])
@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16", "utf-16-le", "utf-16-be"])
def test_the_line_that_names_the_sign_is_no_heading(sign, encoding):
    text = (
        f"sep={sign}\r\ndate{sign}rpe{sign}talk\r\n2026-10-05{sign}3{sign}loud\r\n2026-10-06{sign}4{sign}\r\n"
    )
    found = read_diary(text.encode(encoding), "diary.csv")
    assert [row.rpe for row in found.rows] == [4]
    assert found.problems[0].startswith('diary.csv, line 3: column `talk` is "loud"')


@pytest.mark.parametrize(
    ("typed", "day_first", "meant"),
    [
        ("05.10.2026", True, date(2026, 10, 5)),
        ("5/10/2026", False, date(2026, 5, 10)),
        ("5-10-2026", True, date(2026, 10, 5)),
        ("31.12.2026", True, date(2026, 12, 31)),
        ("2026/10/5", None, date(2026, 10, 5)),
        ("2026-10-05 00:00:00", None, date(2026, 10, 5)),
        ("05.10.2026 00:00", True, date(2026, 10, 5)),
        ("12/31/2026", True, None),
        ("31.12.2026", False, None),
        ("31.11.2026", True, None),
        ("05.10.2026", None, None),
        ("05.10.26", True, None),
        ("2026-10-05 07:30", None, None),
        ("20261005", None, date(2026, 10, 5)),
    ],
)
def test_a_day_is_read_in_the_rosters_own_order(typed, day_first, meant):
    found = read_diary(f"date,rpe\n{typed},3\n".encode(), "diary.csv", day_first=day_first)
    assert [row.on for row in found.rows] == ([meant] if meant else [])
    assert all(f'"{typed}"' in problem for problem in found.problems)
    assert ("day_first = true" in "".join(found.problems)) == (typed == "05.10.2026" and day_first is None)


def test_the_roster_says_the_order_of_day_and_month(tmp_path):
    folder = make_roster(tmp_path / "roster", "mira")
    (folder / "roster.toml").write_text('name = "R"\nday_first = true\n')
    (folder / "mira" / "diary.csv").write_text("date,rpe\n05.10.2026,3\n")
    assert [row.on for row in open_roster(folder).athlete("mira").read_diary().rows] == [date(2026, 10, 5)]


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("5:30 PM", clock(17, 30)),
        ("5:30\u202fpm", clock(17, 30)),
        ("12:05 a.m.", clock(0, 5)),
        ("12 pm", clock(12, 0)),
        ("7.30", clock(7, 30)),
        ("17h30", clock(17, 30)),
        ("13:00 PM", None),
        ("0:30 am", None),
        ("7", None),
        ("24:00", None),
        ("7:5", None),
        ("٧:٣٠", None),
    ],
)
def test_a_time_of_day_in_either_way_of_counting(typed, meant):
    found = read_diary(f"date,start\n2026-10-05,{typed}\n".encode(), "diary.csv")
    assert [row.start for row in found.rows] == ([meant] if meant else [])
    assert bool(found.problems) == (meant is None)


def test_a_column_that_is_not_known_is_told_and_the_rest_is_used():
    text = "date,mood,rpe,weather\n2026-10-05,fine,3,rain\n2026-10-06,,4,\n"
    found = read_diary(text.encode(), "diary.csv")
    assert [row.rpe for row in found.rows] == [3, 4]
    assert [p.partition(";")[0] for p in found.problems] == [
        "diary.csv, line 1: column `mood` is not known and left out",
        "diary.csv, line 1: column `weather` is not known and left out",
    ]


def test_a_diary_full_of_mistakes_is_told_in_short():
    found = read_diary(b"date,rpe\n" + b"2026-10-05,11\n" * 3000, "diary.csv")
    assert len(found.problems) == MOST_PROBLEMS + 1
    assert found.problems[-1] == f"diary.csv: and {3000 - MOST_PROBLEMS} problems more"


def test_ten_years_of_diary_are_read_soon():
    before = time.process_time()
    found = read_diary(b"date,rpe,remarks\n" + b"2026-10-05,3,the hills again\n" * 7300, "diary.csv")
    assert len(found.rows) == 7300
    assert time.process_time() - before < LONGEST_S


def test_python_reads_no_more_digits_than_it_says():
    """The limit that the reader is built for: 4,300 digits, Python's own documentation of int()."""
    assert tomllib.loads("a = " + "9" * 4300)
    with pytest.raises(ValueError, match="4300 digits"):
        tomllib.loads("a = " + "9" * 4301)


def test_what_is_a_folder_where_a_file_should_be_is_told(tmp_path):
    roster = open_roster(make_roster(tmp_path / "roster", "mira", "tom"))
    for name in ("athlete.toml", "diary.csv"):
        path = roster.path / "mira" / name
        path.unlink(missing_ok=True)
        Path(path).mkdir()
    with pytest.raises(RosterProblem, match=r"athlete.toml of mira cannot be opened"):
        roster.athlete("mira").athlete()
    with pytest.raises(RosterProblem, match=r"diary.csv of mira cannot be opened"):
        roster.athlete("mira").read_diary()
