"""What is wrong with the recordings of an athlete."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from coachlib.analysis.recording.duplicates import Duplicate
from coachlib.analysis.roster.check_finding import CheckFinding, Weight
from coachlib.measures.common.codes import code
from coachlib.records.decisions import Decisions, Stage


@dataclass(frozen=True, slots=True, kw_only=True)
class Facts:
    """What the checks need of one session of a recording, without its samples.

    ``file`` is the name of its file; ``hr_held_bpm`` was held for ten seconds; ``setting`` is the longest typed-in
    stage of a drift test.
    """

    recording: str
    file: str
    part: int
    sha256: str
    started_at: datetime
    local_start: datetime
    elapsed_s: float
    hr_held_bpm: float | None
    setting: Stage | None


def longest_setting(decisions: Decisions | None) -> Stage | None:
    """The longest typed-in stage of a drift test; None of any other session."""
    if decisions is None or decisions.kind != "drift test":
        return None
    return max(decisions.stages, key=lambda s: s.stop_s - s.start_s, default=None)


def check_decisions(slug: str, file: str, decisions: Decisions, facts: Facts) -> tuple[CheckFinding, ...]:
    """Stretches that lie beyond the end of their recording."""
    stretches = (*decisions.windows, *decisions.exclusions, *decisions.stages)
    return tuple(
        CheckFinding(
            athlete=slug, file=file, severity="problem",
            code=code("stretch beyond the end", start_s=s.start_s, elapsed_s=facts.elapsed_s),
        )
        for s in stretches
        if s.start_s >= facts.elapsed_s
    )  # fmt: skip


def duplicate_finding(slug: str, one: Facts, other: Facts, likeness: Duplicate) -> CheckFinding:
    """Two recordings that are, or may be, one session."""
    severity: Weight = "advice" if likeness.sameness == "same time" else "problem"
    found = code(
        _SAMENESS[likeness.sameness], one=one.recording, other=other.recording, overlap_frac=likeness.overlap_frac,
        hr_correlation=likeness.hr_correlation, lag_s=likeness.lag_s,
    )  # fmt: skip
    return CheckFinding(athlete=slug, file=other.file, severity=severity, code=found)


_SAMENESS = {
    "same bytes": "same file twice", "same values": "same values twice",
    "two devices": "one session on two devices", "same time": "two recordings at once",
}  # fmt: skip


def may_be_one(facts: Sequence[Facts]) -> Iterator[tuple[Facts, Facts]]:
    """Pairs of different files that overlap or hold the same bytes, so that a comparison of samples can tell more.

    The recordings are gone through once in the order of their starts, so that ten years take ten times as long
    as one; each pair comes with the file that is earlier by name first.
    """
    at = {id(each): n for n, each in enumerate(facts)}
    seen: dict[str, Facts] = {}
    running: list[Facts] = []
    for each in sorted(facts, key=lambda f: f.started_at):
        running = [f for f in running if each.started_at - f.started_at < timedelta(seconds=f.elapsed_s)]
        alike = [f for f in [seen.get(each.sha256)] if f is not None and f not in running]
        for other in (*running, *alike):
            one, two = sorted((each, other), key=lambda f: at[id(f)])
            if one.file != two.file:
                yield one, two
        running.append(each)
        seen.setdefault(each.sha256, each)
