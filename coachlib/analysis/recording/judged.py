"""What one recording was and shows under the decisions about it: the one judgement that every page reads."""

from dataclasses import dataclass
from datetime import date, datetime

from coachlib.analysis.recording.domains import DomainTime
from coachlib.analysis.recording.gear import Gear
from coachlib.measures.common.codes import Code, Finding
from coachlib.measures.common.spans import Span
from coachlib.measures.drift_test.constant_output import ConstantOutputDrift
from coachlib.measures.drift_test.decoupling import Decoupling
from coachlib.measures.drift_test.drift import HeartRateDrift
from coachlib.measures.season.output_level import OutputLevel
from coachlib.records.diary import DiaryRow


@dataclass(frozen=True, slots=True, kw_only=True)
class OutputSummary:
    """Mean output while moving: which quantity, its unit, its value."""

    kind: str
    unit: str
    mean: float
    is_set: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class SteadyStretch:
    """What the steady window of a recording shows.

    ``window_from`` is "decisions" or "suggestion".  ``held`` is the drift at constant output, None where output is a
    typed-in setting or unknown.  ``meaning`` is "below", "near" or "above" the criterion, or why that cannot be told.
    ``suggestions`` are the unanswered ones in the window, each with its effect.  ``above_second_s`` is how long heart
    rate lay above the second threshold of that day, None without one.
    """

    window: Span
    window_from: str
    drift: HeartRateDrift
    held: ConstantOutputDrift | None
    decoupling: Decoupling | None
    findings: tuple[Finding, ...]
    meaning: Code
    criterion_pct: float
    window_criterion_pct: float
    suggestions: tuple[Span, ...]
    excluded_s: float
    temperature_c: float | None
    temperature_from: str | None
    speed_mps: float | None
    grade: float | None
    power_w: float | None
    above_second_s: float | None
    method: str
    caveats: tuple[Code, ...]

    @property
    def is_void(self) -> bool:
        """Whether a finding leaves no result."""
        return any(f.severity == "void" for f in self.findings)

    @property
    def where(self) -> str:
        """Below, near or above the criterion, else "cannot tell"."""
        return self.meaning.name if self.meaning.name in ("below", "near", "above") else "cannot tell"

    @property
    def told(self) -> HeartRateDrift | ConstantOutputDrift:
        """The drift that the meaning rests on: at constant output where that is known."""
        return self.held or self.drift

    @property
    def told_se_pct(self) -> float:
        """Its standard error, the doubt about what output explains included. [percentage points]"""
        if self.held is None:
            return self.drift.se_pct
        return float((self.held.se_pct**2 + self.held.u_pct**2) ** 0.5)


#: Caveats of a file that lost its end or some of its middle.
_DAMAGES = ("file cut", "file damaged", "checksum missing")


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedRecording:
    """What one session of a recording was.  Seconds, metres, beats per minute; None where it cannot be told.

    ``part`` is the session's number in its file.  ``decided`` says whether the coach has saved decisions.
    ``level`` are minutes 10 to 25, which a season compares.
    ``hr_missing_s`` is moving time without a heart rate that nobody left out, ``hr_s`` time with one that counts.
    ``steady`` is there where a steady stretch was judged, else ``not_steady`` says why there is none; ``trial`` is
    the drift of a trial's window.
    """

    recording: str
    sha256: str
    part: int
    started_at: datetime
    local_start: datetime
    on: date
    sport: str
    sub_sport: str
    is_indoor: bool
    kind: str | None
    decided: bool
    row: DiaryRow | None
    elapsed_s: float
    moving_s: float
    distance_m: float | None
    climb_m: float | None
    climb_from: str | None
    hr_mean_bpm: float | None
    hr_top_bpm: float | None
    hr_s: float
    hr_missing_s: float
    seconds_at_bpm: tuple[float, ...]
    minute_bpm: tuple[float | None, ...]
    domains: DomainTime | None
    output: OutputSummary | None
    level: OutputLevel | None
    pace: OutputSummary | None
    steady: SteadyStretch | None
    not_steady: Code | None
    trial: HeartRateDrift | None
    excluded_s: float
    exclusions: tuple[str, ...]
    n_suggestions: int
    trimp: float | None
    rpe_load: float | None
    gear: tuple[Gear, ...]
    device: str
    caveats: tuple[Code, ...]

    @property
    def is_damaged(self) -> bool:
        """Whether the file is cut off or damaged, so that the session was longer than what could be read."""
        return any(c.name in _DAMAGES for c in self.caveats)

    @property
    def drift(self) -> HeartRateDrift | None:
        """The drift of the steady stretch as measured."""
        return None if self.steady is None else self.steady.drift

    @property
    def planned(self) -> str | None:
        """What the diary says was planned."""
        return None if self.row is None else self.row.planned

    @property
    def target(self) -> str | None:
        """What the diary says the session was for."""
        return None if self.row is None else self.row.target

    @property
    def rpe(self) -> float | None:
        """The athlete's rating, 0 to 10."""
        return None if self.row is None else self.row.rpe

    @property
    def talk(self) -> str | None:
        """The athlete's answer to the talk test."""
        return None if self.row is None else self.row.talk

    @property
    def health(self) -> str | None:
        """How the athlete was."""
        return None if self.row is None else self.row.health

    @property
    def remarks(self) -> str | None:
        """The athlete's own words."""
        return None if self.row is None else self.row.remarks

    @property
    def temperature_c(self) -> float | None:
        """Air temperature that the athlete wrote down. [degrees Celsius]"""
        return None if self.row is None else self.row.temperature_c
