"""An athlete's zones on a screen: the scale to choose, what moves, and the sheet to send."""

import os
from dataclasses import dataclass
from datetime import date, timedelta

import ipywidgets
import numpy as np

from coachlib.analysis.session import SessionResult
from coachlib.errors import BadArgument, CoachError
from coachlib.field_tests import OutputLine, read_drift_tests, read_output_line
from coachlib.files.athlete_folder import AthleteFolder
from coachlib.files.folder import RosterFolder, open_roster
from coachlib.measures.zone_table import compare_zones, zone_outputs, zone_shares, zones_from_limits
from coachlib.measures.zones import ZoneSet, zone_set
from coachlib.panels.choosing import ChoicePanel, StillPage, on_screen
from coachlib.panels.series_page import recent_sessions
from coachlib.records.athlete import Athlete
from coachlib.report.zone_sheet import Compared, ZonePlan, zone_sheet
from coachlib.sheets import save_zone_sheet

SCALES = ("two thresholds", "heart-rate reserve", "share of maximum")


@dataclass(frozen=True, kw_only=True)
class _Known:
    """What is read once for an athlete, whatever the choices."""

    athlete: Athlete
    sessions: tuple[SessionResult, ...]
    line: OutputLine | None
    day: date


def zone_plan(
    roster: RosterFolder, own: AthleteFolder, *, scale: str | None = None, watch_lows_bpm: str = ""
) -> ZonePlan:
    """Everything an athlete's zone sheet says.

    Parameters
    ----------
    roster, own : RosterFolder, AthleteFolder
        For whom.
    scale : str, optional
        One of ``SCALES``; None takes the athlete's own.
    watch_lows_bpm : str
        First beat of the second zone, of the third, and so on, as a watch has them, with commas between.

    Raises
    ------
    BadArgument
        When the scale lacks something, or the watch's limits cannot be read.

    Source
    ------
    The zones carry their own sources, see ``measures.zones``.
    """
    return _plan(_read(roster, own), roster.settings.coach, scale=scale, watch_lows_bpm=watch_lows_bpm)


def _read(roster: RosterFolder, own: AthleteFolder) -> _Known:
    athlete = own.athlete()
    sessions = recent_sessions(roster, own)
    days = [s.on for s in sessions] + [t.on for t in athlete.thresholds if not t.withdrawn]
    tests = read_drift_tests(roster, own).tests
    return _Known(
        athlete=athlete,
        sessions=sessions,
        line=read_output_line(roster, own, tests),
        day=max(days, default=date(1970, 1, 1)),
    )


def _plan(known: _Known, coach: str, *, scale: str | None, watch_lows_bpm: str) -> ZonePlan:
    athlete = known.athlete
    zones = _zones_on(athlete, scale or athlete.zones, known.day)
    in_force = [t for w in ("first", "second") if (t := athlete.threshold_on(w, known.day))]
    return ZonePlan(
        athlete=athlete.name,
        coach=coach,
        on=max((t.on for t in in_force), default=known.day),
        zones=zones,
        shares=zone_shares(zones, hr_max_bpm=athlete.hr_max_bpm, hr_rest_bpm=athlete.hr_rest_bpm)
        if athlete.hr_max_bpm
        else (),
        outputs=zone_outputs(zones, known.line.line) if known.line else (),
        unit=known.line.unit if known.line else "",
        outputs_from=known.line.made_from if known.line else "",
        why_no_output=""
        if known.line
        else "Speed and power are not told: that needs tests or stages at three different settings.",
        thresholds=tuple(in_force) if zones.scale == "two thresholds" else (),
        hr_max_bpm=athlete.hr_max_bpm,
        hr_max_from=athlete.hr_max_from,
        hr_rest_bpm=athlete.hr_rest_bpm,
        medicine=bool(athlete.heart_rate_medicine),
        compared=_compared(known, zones, in_force, watch_lows_bpm),
    )


def _zones_on(athlete: Athlete, scale: str, day: date) -> ZoneSet:
    """The zones by the thresholds valid on a day."""
    first, second = athlete.threshold_on("first", day), athlete.threshold_on("second", day)
    return zone_set(
        scale,
        first_bpm=first.hr_bpm if first else None,
        second_bpm=second.hr_bpm if second else None,
        hr_rest_bpm=athlete.hr_rest_bpm,
        hr_max_bpm=athlete.hr_max_bpm,
    )


def _compared(known: _Known, zones: ZoneSet, in_force: list, watch_lows_bpm: str) -> tuple[Compared, ...]:
    """The zones against those before, and against a watch's own."""
    others: list[tuple[str, ZoneSet]] = []
    if in_force and zones.scale == "two thresholds":
        newest = max(t.on for t in in_force)
        try:
            before = _zones_on(known.athlete, zones.scale, newest - timedelta(days=1))
        except CoachError:
            before = zones
        if before != zones:
            others.append(("before", before))
    if watch_lows_bpm.strip():
        others.append(("of the watch", _typed(watch_lows_bpm)))
    return tuple(
        Compared(
            name=name,
            zones=other,
            result=compare_zones(other, zones, _seconds(known.sessions)),
            training=f"{len(known.sessions)} sessions of the last four weeks",
        )
        for name, other in others
    )


def _typed(lows_bpm: str) -> ZoneSet:
    try:
        lows = [int(part) for part in lows_bpm.split(",")]
    except ValueError:
        raise BadArgument(
            f"a watch's zones are typed as the first beat of each zone from the second on, such as \"120, 140, 160, "
            f'175"; found "{lows_bpm}".'
        ) from None
    return zones_from_limits(lows, source="typed in from the watch")


def _seconds(sessions: tuple[SessionResult, ...]) -> tuple[float, ...]:
    """Seconds at each heart rate over several sessions."""
    total = np.zeros(max((len(s.seconds_at_bpm) for s in sessions), default=1))
    for session in sessions:
        total[: len(session.seconds_at_bpm)] += session.seconds_at_bpm
    return tuple(total.tolist())


class ZonesPanel(ChoicePanel):
    """Athlete, scale and a watch's limits to choose; the zones; the sheet to write."""

    def __init__(self, roster: RosterFolder, athlete: str, watch_lows_bpm: str) -> None:
        super().__init__(roster, athlete, what="zones", width="30em")
        self._known: _Known | None = None
        self.plan: ZonePlan | None = None
        self.scale = self.field(ipywidgets.Dropdown, "Scale", options=SCALES)
        self.watch = self.field(
            ipywidgets.Text, "Watch's limits", value=watch_lows_bpm, placeholder="120, 140, 160, 175"
        )
        self.sheet_button = self.button("Write the zone sheet", self.write_sheet)
        self.on_choice(self._open, self.athlete)
        self.on_choice(self._show, self.scale, self.watch)
        self.stand(ipywidgets.VBox([self.athlete, self.scale, self.watch]), self.page, self.sheet_button)
        self.guarded(self._open)(None)

    def write_sheet(self) -> None:
        """Write the zone sheet for the athlete.

        Raises
        ------
        BadArgument
            When there are no zones on the page.
        """
        if self.plan is None:
            raise BadArgument("there are no zones on this page yet. Choose a scale for which all is known.")
        self.say_written(save_zone_sheet(self._roster, self.own(), self.plan))

    def _open(self) -> None:
        self._known = _read(self._roster, self.own())
        athlete = self._known.athlete

        def fill() -> None:
            self.scale.value = athlete.zones

        self.filling(fill)
        self._show()

    def _show(self) -> None:
        self.plan, self.page.value = None, ""
        if self._known is not None:
            self.plan = _plan(
                self._known,
                self._roster.settings.coach,
                scale=self.scale.value,
                watch_lows_bpm=self.watch.value,
            )
            self.page.value = on_screen(zone_sheet(self.plan))
            self.say("")


def zones_panel(
    roster: str | os.PathLike[str] | None,
    athlete: str | None = None,
    *,
    scale: str | None = None,
    watch_lows_bpm: str = "",
    interactive: bool = True,
) -> ZonesPanel | StillPage:
    """Open one athlete's zones.

    Parameters
    ----------
    roster : path or None
        The roster's folder; None takes the one that ``COACHLIB_ROSTER`` names.
    athlete : str, optional
        Folder name or name; None takes the first whose zones can be made.
    scale, watch_lows_bpm
        As for ``zone_plan``.
    interactive : bool
        False gives the page without anything to click.

    Raises
    ------
    RosterProblem
        When there is no such roster or athlete.
    BadArgument
        When the zones cannot be made (without a screen).

    Source
    ------
    This project's own choice.
    """
    folder = open_roster(roster)
    own = folder.athlete(athlete) if athlete else _first_with_zones(folder)
    if not interactive:
        plan = zone_plan(folder, own, scale=scale, watch_lows_bpm=watch_lows_bpm)
        return StillPage(zone_sheet(plan), f"the zones of {own.slug}")
    panel = ZonesPanel(folder, own.slug, watch_lows_bpm)
    if scale is not None:
        panel.scale.value = scale
    return panel


def _first_with_zones(folder: RosterFolder) -> AthleteFolder:
    for slug in folder.athletes():
        own = folder.athlete(slug)
        try:
            athlete = own.athlete()
            _zones_on(athlete, athlete.zones, max((t.on for t in athlete.thresholds), default=date.min))
        except CoachError:
            continue
        return own
    return folder.athlete(folder.athletes()[0]) if folder.athletes() else folder.athlete("")
