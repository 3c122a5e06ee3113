"""A judgement of a damaged recording is read back as it was kept, so that its caveats can be told again."""

from dataclasses import replace

from fitbytes import steady_run
from season_parts import day, session

from coachlib.files.fit.reading import read_fit
from coachlib.files.store.kept import KeptJudgements
from coachlib.report.words.catalogue import whole


def test_the_time_of_the_damage_is_told_a_second_time(tmp_path):
    data = steady_run(300).bytes()[:-203]  # within a record
    (tmp_path / "x.fit").write_bytes(data)
    caveats = [c for c in read_fit(tmp_path / "x.fit").caveats if c.name == "file damaged"]
    assert caveats, "the file was to be damaged"
    judged = replace(session(day(0)), caveats=tuple(caveats))
    kept = KeptJudgements(tmp_path / "kept")
    kept.keep("x", "key", judged)
    again = kept.get("x", "key")
    assert again.caveats == judged.caveats
    assert "the last good time is 2026-10-03 07:0" in whole(again.caveats[0])
