"""The file of decisions: form 2 with its parts and its end, form 1 read and made form 2 when it is saved."""

import tomllib

import numpy as np
import pytest
from decision_files import BOTH, FORMER, RIDE, RUN, SHA
from rosters import fit_data, make_roster, put, wandering

from coachlib.errors import DecisionProblem
from coachlib.files.roster.athlete_folder import decisions_path
from coachlib.files.roster.decisionstext import decisions_bytes, decisions_of
from coachlib.files.roster.folder import open_roster
from coachlib.files.store.store import sha256_of
from coachlib.records.decisions import Decisions, Exclusion, FileDecisions, Stage, Trusted, Window

COMMENTS = (
    "# opened on a Monday",
    "# the first",
    "# agreed with her",
    "# the hour on the belt",
    "# after the drink",
    "# a greeting here",
    "# nothing below this line",
)


def said(text):
    return decisions_of(text.encode(), "d.toml")


def written(decided, text=None):
    data = text.encode() if text is not None else None
    return decisions_bytes(data, "d.toml", decided).decode()


def one(**fields):
    return FileDecisions(fit_sha256=SHA, parts=(Decisions(fit_sha256=SHA, **fields),))


def test_one_session_is_written_flat_with_its_end():
    text = written(one(kind="easy", windows=(Window(start_s=1, stop_s=2),)))
    assert text == (
        f'schema = 2\nfit_sha256 = "{SHA}"\nkind = "easy"\n'
        '\n[[window]]\nstart_s = 1.0\nstop_s = 2.0\npurpose = "steady"\n\n[end]\nentries = 1\n'
    )


def test_several_sessions_are_written_in_parts_and_come_back():
    text = written(BOTH)
    assert said(text) == BOTH
    assert text.count("[[part]]") == 2
    assert text.count("[[part.exclusion]]") == 2
    assert text.endswith("\n[end]\nentries = 9\n")


def test_the_first_form_is_read():
    decided = said(FORMER)
    assert decided.parts[0].kind == "drift test"
    assert decided.parts[0].part is None


def test_the_first_form_becomes_the_second_when_it_is_saved_and_keeps_its_comments():
    decided = said(FORMER)
    assert written(decided, FORMER) == FORMER
    moved = decided.parts[0].model_copy(update={"kind": "long"})
    text = written(decided.with_part(moved), FORMER)
    assert said(text).parts == (moved,)
    expected = FORMER.replace("schema = 1 ", "schema = 2 ").replace('"drift test"', '"long"')
    assert text == expected.replace("# nothing", "\n[end]\nentries = 2\n# nothing")


@pytest.mark.parametrize("text", [FORMER, FORMER.replace("\n", "\r\n")])
@pytest.mark.parametrize("main", [0, 1])
def test_a_second_session_puts_the_first_into_a_part_with_its_comments(text, main):
    decided = said(text).with_part(RUN, main=main)
    new = written(decided, text)
    assert said(new) == decided
    assert [p.part for p in said(new).parts] == [main, 2]
    assert said(new).parts[0].model_copy(update={"part": None}) == said(text).parts[0]
    for comment in COMMENTS:
        assert comment in new
    assert new.count("\r\n") == (new.count("\n") if "\r\n" in text else 0)


def test_a_numbered_session_of_the_first_form_keeps_its_number():
    text = FORMER.replace("kind =", "part = 1\nkind =")
    decided = said(text).with_part(RUN)
    new = written(decided, text)
    assert said(new) == decided
    assert [p.part for p in decided.parts] == [1, 2]


def test_a_change_in_one_part_leaves_every_other_line():
    text = written(BOTH).replace(
        "[[part.window]]\nstart_s = 0.0", "# the race\n[[part.window]]\nstart_s = 0.0 # gun"
    )
    moved = RUN.model_copy(update={"windows": (Window(start_s=30, stop_s=1200),), "kind": "easy"})
    new = written(said(text).with_part(moved), text)
    assert new == text.replace("start_s = 0.0 # gun", "start_s = 30.0 # gun").replace('"race"', '"easy"')


def test_a_flat_file_with_another_number_makes_room():
    flat = written(one(kind="easy", part=1))
    new = written(said(flat).with_part(RIDE), flat)
    assert [(p.part, p.kind) for p in said(new).parts] == [(0, "long"), (1, "easy")]


def lines_of(text):
    return text.splitlines(keepends=True)


@pytest.mark.parametrize(
    "text", [written(BOTH), written(one(kind="easy", windows=RUN.windows, stages=RUN.stages))]
)
def test_a_file_cut_at_any_line_is_refused_in_words(text):
    lines = lines_of(text)
    for n in range(len(lines)):
        with pytest.raises(DecisionProblem, match=r"^d.toml: .*(cut short|were lost|schema.* is missing)"):
            said("".join(lines[:n]))


def test_a_file_cut_at_any_byte_is_refused_or_whole():
    text = written(BOTH)
    for n in range(len(text) - 1):
        with pytest.raises(DecisionProblem, match=r"^d.toml"):
            said(text[:n])
    assert said(text[:-1]) == BOTH


def test_an_entry_that_is_missing_from_the_middle_is_noticed():
    text = written(BOTH)
    start = text.index("[[part.exclusion]]")
    less = text[:start] + text[text.index("[[part.exclusion]]", start + 1) :]
    with pytest.raises(
        DecisionProblem, match=r"\[end\] counts 9 entries, and 8 stand above it, so some were lost or"
    ):
        said(less)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        (
            "[[part]]\nkind = 'easy'\n[end]\nentries = 1\n",
            "part 1: key `number` is missing; needed: a whole number",
        ),
        ("[[part]]\nnumber = 0\npart = 0\n[end]\nentries = 1\n", "part 1: key `part` is not known"),
        (
            "[[part]]\nnumber = 0\n[[part.stage]]\nstart_s = 0\nstop_s = 9\nspeed = 3\n[end]\nentries = 2\n",
            "part 1: key `speed` of stage 1 is not known; did you mean `speed_kmh`?",
        ),
        (
            "[[part]]\nnumber = 0\n[[part]]\nnumber = 0\n[end]\nentries = 2\n",
            "two [[part]] tables have the same `number`; keep one",
        ),
        ("[end]\nentries = 'two'\n", "has no [end] that counts its entries"),
        ("[end]\nentries = 0\nwindows = 1\n", "[end] holds `windows`; it holds `entries` alone"),
        ("part = []\n[end]\nentries = 0\n", "key `part` is a list; write each session under [[part]]"),
        ("part = [3]\n[end]\nentries = 0\n", "key `part` is a list; write each session under [[part]]"),
        ("[[window]]\n[[part]]\nnumber = 1\n[end]\nentries = 2\n", "key `window` is not known"),
    ],
)
def test_what_no_second_form_is_is_told(text, sentence):
    with pytest.raises(DecisionProblem) as refused:
        said(f'schema = 2\nfit_sha256 = "{SHA}"\n{text}')
    assert sentence in str(refused.value)


def test_a_missing_checksum_above_parts_is_told_once():
    with pytest.raises(DecisionProblem) as refused:
        said("schema = 2\n[[part]]\nnumber = 0\n[[part]]\nnumber = 1\n[end]\nentries = 2\n")
    assert str(refused.value).count("fit_sha256") == 1


def test_saving_one_session_keeps_the_others(tmp_path):
    mira = open_roster(make_roster(tmp_path / "roster", "mira")).athlete("mira")
    fit = put(mira.path, "2026-10-03_running.fit", fit_data(wandering(60)))
    sha = sha256_of(fit)
    ride, run = (p.model_copy(update={"fit_sha256": sha}) for p in BOTH.parts)
    seen = mira.save_decisions(fit, ride.model_copy(update={"part": None}), based_on=None, main_part=0)
    seen = mira.save_decisions(fit, run, based_on=seen, main_part=0)
    assert mira.decisions_of_parts(fit, sha).by_part(0) == {0: ride, 2: run}
    mira.save_decisions(fit, ride.model_copy(update={"kind": "easy"}), based_on=seen)
    assert mira.decisions_of_parts(fit, sha).by_part(0)[2] == run
    assert mira.decisions(fit, sha).kind == "easy"
    with pytest.raises(DecisionProblem, match="say which session these are of"):
        mira.save_decisions(fit, Decisions(fit_sha256=sha), based_on=mira.decisions_seen(fit))
    assert "[[part]]" in decisions_path(fit).read_text()


def some_session(rng, part):
    def stretches(make):
        edges = np.sort(rng.choice(5000, size=2 * rng.integers(0, 4), replace=False)) / 2
        return tuple(make(start_s=a, stop_s=b) for a, b in zip(edges[::2], edges[1::2], strict=True))

    return Decisions(
        fit_sha256=SHA,
        part=part,
        kind=[None, "easy", "drift test"][rng.integers(3)],
        windows=stretches(lambda **t: Window(note=["", 'say "so"', "a\n[[part]]\nb"][rng.integers(3)], **t)),
        exclusions=stretches(Exclusion),
        stages=stretches(lambda **t: Stage(power_w=150, **t)),
        trusted=(Trusted(quantity="power_w"),) * int(rng.integers(2)),
    )


@pytest.mark.parametrize("seed", range(40))
def test_whatever_is_decided_about_however_many_sessions_reads_back(seed):
    rng = np.random.default_rng(seed)
    text, decided = None, FileDecisions(fit_sha256=SHA)
    for _ in range(5):
        decided = decided.with_part(some_session(rng, int(rng.integers(3))))
        text = written(decided, text)
        assert said(text) == decided
        assert "end" in tomllib.loads(text)
        text = text.replace("[end]", "# counted\n[end]") if "# counted" not in text else text
        text = text if "# top" in text else f"# top\n{text}"
    assert text.count("# top") == 1
