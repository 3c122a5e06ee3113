"""The panel of ``workbooks/zones.ipynb``: the scale to choose, what moves, and the sheet to send."""

import os
from datetime import date
from typing import get_args

import ipywidgets

from coachlib.errors import BadArgument, CoachError
from coachlib.files.roster.folder import RosterFolder, open_roster
from coachlib.jobs.sheets import save_zone_sheet
from coachlib.panels.choosing.choosing import ChoicePanel, StillPage, on_screen
from coachlib.panels.recording.panel import chosen_athlete
from coachlib.panels.zones.page import Known, read_known, zone_plan, zones_on
from coachlib.records.athlete import ZoneScale
from coachlib.report.zones.zone_plan import ZonePlan
from coachlib.report.zones.zone_sheet import zone_sheet

SCALES: tuple[ZoneScale, ...] = get_args(ZoneScale)


class ZonesPanel(ChoicePanel):
    """Athlete, scale and a watch's limits to choose; the zones; the scale to keep, the sheet to write."""

    def __init__(self, roster: RosterFolder, athlete: str, watch_lows_bpm: str) -> None:
        super().__init__(roster, athlete, what="zones", name_width="9em", width="34em")
        self._known: Known | None = None
        self.plan: ZonePlan | None = None
        self.scale = self.field(ipywidgets.Dropdown, "Zones by", options=SCALES)
        self.watch = self.field(
            ipywidgets.Text,
            "The watch has",
            value=watch_lows_bpm,
            placeholder="where zones 2, 3, … begin, such as 120, 140, 160, 175",
            continuous_update=False,
        )
        self.sheet_button = self.button("Write the zone sheet", self.write_sheet)
        self.keep_button = self.button("Keep this scale", self.keep_scale)
        self.on_choice(self._open, self.athlete)
        self.on_choice(self._show, self.scale, self.watch)
        self.stand(
            ipywidgets.VBox([self.athlete, self.scale, self.watch]),
            self.page,
            ipywidgets.HBox([self.sheet_button, self.keep_button]),
        )
        self.guarded(self._open)(None)

    def write_sheet(self) -> None:
        """Write the zone sheet for the athlete.

        Raises
        ------
        BadArgument
            When there are no zones on the page.
        """
        self.say_written(save_zone_sheet(self._roster, self.own(), self._on_page()))

    def keep_scale(self) -> None:
        """Write the scale that is chosen into the athlete's file: the weekly letter uses it from then on.

        Raises
        ------
        BadArgument
            When the scale gives no zones.
        """
        self._on_page()
        scale = self.scale.value
        self.own().choose_zones(scale)
        self._open()
        self.say(f"Kept: zones by {scale}, also in the weekly letter from now on.")

    def _on_page(self) -> ZonePlan:
        if self.plan is None:
            raise BadArgument("there are no zones on this page yet. Choose a scale for which all is known.")
        return self.plan

    def _open(self) -> None:
        """Read the athlete and show the zones on the scale kept so far."""
        self._known, self.plan, self.page.value = None, None, ""
        known = read_known(self._roster, self.own())

        def fill() -> None:
            self.scale.value = known.athlete.zones

        self.filling(fill)
        self._known = known
        self._show()

    def _show(self) -> None:
        """Make the page anew from the choices."""
        self.plan, self.page.value = None, ""
        if self._known is None:
            return
        self.plan = zone_plan(self._known, scale=self.scale.value, watch_lows_bpm=self.watch.value)
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

    Examples
    --------
    ``workbooks/zones.ipynb`` is this function and two sentences.
    """
    folder = open_roster(roster)
    own = chosen_athlete(folder, athlete or _first_with_zones(folder))
    if not interactive:
        plan = zone_plan(read_known(folder, own), scale=scale, watch_lows_bpm=watch_lows_bpm)
        return StillPage(zone_sheet(plan), f"the zones of {own.slug}")
    panel = ZonesPanel(folder, own.slug, watch_lows_bpm)
    if scale is not None:
        panel.scale.value = scale
    return panel


def _first_with_zones(folder: RosterFolder) -> str | None:
    """The first athlete whose zones can be made, so that the page opens on something."""
    for slug in folder.athletes():
        try:
            athlete = folder.athlete(slug).athlete()
            zones_on(athlete, athlete.zones, max((t.on for t in athlete.thresholds), default=date.min))
        except CoachError:
            continue
        return slug
    return None
