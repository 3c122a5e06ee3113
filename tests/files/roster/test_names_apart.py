"""An athlete is found however a system takes the accents of a name apart."""

import unicodedata

import pytest
from rosters import make_roster

from coachlib.files.roster.folder import open_roster


@pytest.mark.parametrize("form", ["NFC", "NFD"])
def test_accents_may_stand_apart(tmp_path, form):
    roster = make_roster(tmp_path / "roster", "lena")
    (roster / "lena" / "athlete.toml").write_text('name = "Lena Müller"\n', encoding="utf-8")
    found = open_roster(roster).athlete(unicodedata.normalize(form, "LENA Müller"))
    assert found.slug == "lena"


def test_a_folder_whose_name_a_disk_took_apart_is_found(tmp_path):
    roster = make_roster(tmp_path / "roster", unicodedata.normalize("NFD", "zoë"))
    assert open_roster(roster).athlete("zoë").athlete().name
