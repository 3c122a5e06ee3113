"""The pieces of ``workbooks/drift_test.ipynb``: one drift test as a page a coach would print."""

import os
from pathlib import Path

from coachlib.analysis.first_threshold.agreement import held_against_test
from coachlib.analysis.first_threshold.second_opinions import opinions_on_test
from coachlib.analysis.week.calendar import week_of
from coachlib.errors import CoachError, RosterProblem, UnfitTest
from coachlib.files.roster.athlete_folder import AthleteFolder
from coachlib.files.roster.folder import RosterFolder, open_roster
from coachlib.jobs.publishing import Page, publish
from coachlib.panels.choosing.choosing import ANEW
from coachlib.panels.recording.panel import chosen_athlete, chosen_recording
from coachlib.panels.recording.still import still_map, still_trace
from coachlib.panels.recording.subject import RecordingSubject
from coachlib.report.drift_test import page as drift_page
from coachlib.report.first_threshold.second_opinions_view import other_opinions
from coachlib.report.look.text import escape
from coachlib.report.page.blocks import Html, Leading, wide_figure
from coachlib.report.page.places import lab_address, made_address
from coachlib.report.words import wording


class DriftTestPage:
    """One test under its saved decisions; each property is one piece of the page.

    Raises
    ------
    UnfitTest
        When the window cannot be judged; the sentence says why.
    """

    def __init__(self, roster: RosterFolder, athlete: AthleteFolder, subject: RecordingSubject) -> None:
        self._roster, self._owner = roster, athlete
        self._subject = subject
        self._reading = subject.read()
        if self._reading.stretch is None:
            raise UnfitTest(self._reading.sentence)
        self._test = self._reading.stretch
        profile = athlete.athlete()
        self._name = profile.name
        wording.speak(profile.units)
        self._started = subject.activity.local_start(profile.time_zone or roster.settings.time_zone)
        opinions, self._silent = opinions_on_test(
            subject.activity,
            subject.state.decisions,
            self._test,
            on=self._started.date(),
            diary_row=subject.diary_row,
        )
        self._held = held_against_test(self._test, opinions)

    @property
    def finding(self) -> Html:
        """Who, when, the verdict, which other signs agree, and the number with both uncertainties."""
        return drift_page.finding(
            self._test,
            athlete=self._name,
            started=self._started,
            is_saved=self._subject.is_saved,
            held=self._held,
        )

    @property
    def trace(self) -> Html:
        """The trace with window, halves and what is left out."""
        exclusions = [e for e in self._subject.state.decisions.exclusions if e.quantity == "hr_bpm"]
        return wide_figure(
            still_trace(self._subject, self._reading),
            title=drift_page.halves_title(self._test),
            caption=drift_page.left_out(exclusions),
            level=2,
        )

    @property
    def validity(self) -> Html:
        """What speaks against the test."""
        return drift_page.validity(self._test)

    @property
    def window_map(self) -> Html:
        """How much the answer hangs on the window."""
        try:
            chart = still_map(self._subject)
        except CoachError as refusal:
            return Html(f"<p>{escape(refusal)}</p>")
        return wide_figure(
            chart, title=drift_page.map_title(self._test.findings), caption=drift_page.MAP_CAPTION
        )

    @property
    def other_opinions(self) -> Html:
        """What talk test and beat intervals of this test say; empty where there are none."""
        return other_opinions(self._held, silent=self._silent, of_one_test=True)

    @property
    def conditions(self) -> Html:
        """The day, from the diary."""
        return drift_page.conditions(self._test, self._subject.diary_row)

    @property
    def cautions(self) -> Html:
        """What goes with every test."""
        return drift_page.cautions()

    def save(self) -> Html:
        """Write the page as one file that opens anywhere, and say where it lies."""
        pieces = (
            self.finding,
            self.trace,
            self.validity,
            self.window_map,
            self.other_opinions,
            self.conditions,
            self.cautions,
        )
        page = Page(
            name=f"{self._subject.fit_path.stem}_drift_test",
            title=f"{self._name}: drift test of {self._started.date()}",
            blocks=pieces,
            week=week_of(self._started.date(), starts=self._roster.settings.week_starts),
        )
        path = publish(page, self._owner, self._roster)
        said = f"{escape(path.name)} in the folder {escape(path.parent.name)} of {escape(self._name)}"
        address = made_address(self._owner.slug, path.name)
        words, at_desk, in_lab = (_to_print(said, to) for to in (None, address, lab_address(address)))
        return Leading(words, at_desk=at_desk, in_lab=in_lab)


def _to_print(said: str, address: str | None) -> str:
    link = f' <a href="{escape(address)}" {ANEW}>Open it</a>' if address else ""
    return f"<p>The page alone, to print or to send: {said}.{link}</p>"


def drift_test_page(
    roster: str | os.PathLike[str] | None, athlete: str | None = None, recording: str | None = None
) -> DriftTestPage:
    """Open one drift test.

    Parameters
    ----------
    roster : path or None
        The roster's folder; None takes the one that ``COACHLIB_ROSTER`` names.
    athlete : str, optional
        An athlete's folder name or name; None takes whoever did the newest drift test.
    recording : str, optional
        A recording's file name with or without its ending; None takes the newest drift test.

    Raises
    ------
    RosterProblem
        When there is no such roster, athlete or recording, or nobody has a drift test yet.
    UnfitTest
        When its window cannot be judged.

    Examples
    --------
    ``workbooks/drift_test.ipynb`` shows the pieces one by one.
    """
    folder = open_roster(roster)
    if recording is not None:
        owner = chosen_athlete(folder, athlete)
        path = chosen_recording(owner, recording)
        if path is not None:
            return DriftTestPage(folder, owner, RecordingSubject(folder, owner, path))
    owners = [folder.athlete(slug) for slug in ([athlete] if athlete else folder.athletes())]
    recordings = [(path, owner) for owner in owners for path in owner.recordings()]
    for path, owner in sorted(recordings, key=lambda pair: pair[0].name, reverse=True):
        if _is_drift_test(folder, owner, path):
            return DriftTestPage(folder, owner, RecordingSubject(folder, owner, path))
    whose = owners[0].slug if athlete else folder.settings.name
    raise RosterProblem(
        f"{whose} has no recording whose kind is “drift test”. Open one on the recording page, choose the kind, and save."
    )


def _is_drift_test(roster: RosterFolder, athlete: AthleteFolder, path: Path) -> bool:
    """Whether the coach called a recording a drift test; what cannot be read is none."""
    if athlete.decisions_seen(path) is None:
        return False
    try:
        decisions = athlete.decisions(path, roster.store.activity(path).sha256)
    except CoachError:
        return False
    return decisions is not None and decisions.kind == "drift test"
