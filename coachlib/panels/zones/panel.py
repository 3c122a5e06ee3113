"""The panel of ``workbooks/zones.ipynb``: the scale to choose, what moves, and the sheet to send."""

import os
from typing import get_args

import ipywidgets

from coachlib.analysis.zones.plan import Known, ZonePlan, sports_of, usual_sport
from coachlib.errors import BadArgument, CoachError
from coachlib.files.roster.folder import RosterFolder, open_roster
from coachlib.jobs.sheets import save_zone_sheet
from coachlib.measures.zones.scales import OWN_SCALE
from coachlib.panels.choosing.choosing import WRAPPED, ChoicePanel, StillPage, on_screen
from coachlib.panels.desk.page_keeper import PageKeeper
from coachlib.panels.recording.panel import chosen_athlete
from coachlib.panels.zones.page import read_known, zone_plan
from coachlib.records.athlete import ZoneScale
from coachlib.report.zones.zone_sheet import zone_sheet

SCALES: tuple[ZoneScale, ...] = get_args(ZoneScale)


class ZonesPanel(ChoicePanel):
    """Athlete, sport, scale and a watch's limits to choose, the scale to keep, the sheet to write; the zones."""

    def __init__(self, roster: RosterFolder, athlete: str, watch_lows_bpm: str) -> None:
        super().__init__(roster, athlete, what="zones", name_width="9em", width="30em")
        self._known: Known | None = None
        self.plan: ZonePlan | None = None
        self.sport = self.field(ipywidgets.Dropdown, "Sport")
        self.scale = self.field(ipywidgets.Dropdown, "Zones by", options=SCALES)
        self.watch = self.field(
            ipywidgets.Text,
            "The watch has",
            value=watch_lows_bpm,
            placeholder="where its zones begin, from the second on: 120, 140, 160, 175",
            continuous_update=False,
        )
        self.watch.layout.width, self.watch.layout.max_width = "40em", "100%"
        self.sheet_button = self.button("Write the zone sheet", self.write_sheet, is_main=True)
        self.keep_button = self.button("Keep this scale", self.keep_scale)
        self.on_choice(self._open, self.athlete)
        self.on_choice(self._show, self.sport, self.scale, self.watch)
        self.children = [
            ipywidgets.HBox([self.athlete, self.sport], layout=WRAPPED),
            ipywidgets.HBox([self.scale, self.keep_button, self.sheet_button], layout=WRAPPED),
            self.status,
            self.watch,
            self.page,
            PageKeeper(athlete=self.athlete),
        ]
        self.guarded(self._open)(None)

    def write_sheet(self) -> None:
        """Write the zone sheet for the athlete.

        Raises
        ------
        BadArgument
            When there is nothing on the page to write.
        """
        self.say_written(save_zone_sheet(self._roster, self.own(), self._on_page()))

    def keep_scale(self) -> None:
        """Write the scale that is chosen into the athlete's file: the weekly letter uses it from then on.

        Raises
        ------
        BadArgument
            When the scale gives no zones.
        """
        if self._on_page().zones is None:
            raise BadArgument(
                "this scale gives no zones for this athlete. Choose one for which all is known."
            )
        scale = self.scale.value
        self.own().choose_zones(scale)
        self._open()
        self.say(f"Kept: zones by {scale}, also in the weekly letter from now on.")

    def _on_page(self) -> ZonePlan:
        if self.plan is None:
            raise BadArgument("there are no zones on this page yet. Choose an athlete who can be read.")
        return self.plan

    def _open(self) -> None:
        """Read the athlete and show the zones of the first sport, on the scale kept so far."""
        self._known, self.plan, self.page.value = None, None, ""
        known = read_known(self._roster, self.own())
        sports = sports_of(known)

        def fill() -> None:
            self.scale.value = known.athlete.zones
            self.sport.options = sports
            self.sport.value = usual_sport(known)
            self.sport.layout.display = None if len(sports) > 1 else "none"

        self.filling(fill)
        self._known = known
        self._show()

    def _show(self) -> None:
        """Make the page anew from the choices."""
        self.plan, self.page.value = None, ""
        if self._known is None:
            return
        self.plan = zone_plan(
            self._known, scale=self.scale.value, sport=self.sport.value, watch_lows_bpm=self.watch.value
        )
        self.page.value = on_screen(zone_sheet(self.plan))
        self.say("")


def zones_panel(
    roster: str | os.PathLike[str] | None,
    athlete: str | None = None,
    *,
    scale: str | None = None,
    sport: str | None = None,
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
    scale, sport, watch_lows_bpm
        As for ``zone_plan``.
    interactive : bool
        False gives the page without anything to click.

    Raises
    ------
    RosterProblem
        When there is no such roster or athlete.
    BadArgument
        When the zones cannot be made (without a screen).

    Examples
    --------
    ``workbooks/zones.ipynb`` is this function and two sentences.
    """
    folder = open_roster(roster)
    own = chosen_athlete(folder, athlete or _first_with_zones(folder))
    if not interactive:
        plan = zone_plan(read_known(folder, own), scale=scale, sport=sport, watch_lows_bpm=watch_lows_bpm)
        return StillPage(zone_sheet(plan), f"the zones of {own.slug}")
    panel = ZonesPanel(folder, own.slug, watch_lows_bpm)
    if sport is not None:
        panel.sport.value = sport
    if scale is not None:
        panel.scale.value = scale
    return panel


def _first_with_zones(folder: RosterFolder) -> str | None:
    """The first athlete with both thresholds or another scale, so that the page opens on something."""
    for slug in folder.athletes():
        try:
            athlete = folder.athlete(slug).athlete()
        except CoachError:
            continue
        standing = {t.which for t in athlete.thresholds if not t.withdrawn and not t.bounded}
        if len(standing) == 2 or athlete.zones != OWN_SCALE:
            return slug
    return None
