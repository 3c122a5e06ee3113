"""Archetypes, anchors, the spike rule and the taper against what was published."""

import pytest

from coachlib.measures.plan.archetypes import ARCHETYPES, EFFORT_WORDS, archetype
from coachlib.measures.plan.longest_run import N_RUNNERS, against_longest
from coachlib.measures.plan.taper import taper_minutes
from coachlib.records.diary import TARGETS


def test_every_target_is_a_known_kind_of_session():
    assert set(TARGETS) <= set(ARCHETYPES)


@pytest.mark.parametrize(
    ("name", "minutes", "domain"),
    [
        # Haugen et al. (2022), Sports Med - Open 8:46
        ("easy", (40, 70), "below first"),
        ("long", (45, 120), "below first"),
        ("threshold", (20, 50), "near second"),
        # lengths from memory
        ("steady", (30, 60), "around first"),
        ("strength", (30, 60), None),
    ],
)
def test_lengths_and_domains_of_the_archetypes(name, minutes, domain):
    found = archetype(name)
    assert ((found.minutes_low, found.minutes_high), found.domain) == (minutes, domain)


def test_efforts_rise_with_the_domain_and_lie_on_the_scale():
    rising = [ARCHETYPES[name] for name in ("easy", "long", "steady", "threshold", "short hard")]
    assert [(a.effort_low, a.effort_high) for a in rising] == [(2, 3), (3, 4), (4, 4), (5, 6), (7, 9)]


def test_anchors_of_the_effort_scale():
    # Foster et al. (2001), J Strength Cond Res 15:109-115: 6, 8 and 9 stay without words
    assert EFFORT_WORDS[0] == "rest"
    assert EFFORT_WORDS[3] == "moderate"
    assert EFFORT_WORDS[10] == "maximal"
    assert not {6, 8, 9} & set(EFFORT_WORDS)


@pytest.mark.parametrize(
    ("length", "hazard"),
    # Frandsen et al. (2025), doi 10.1136/bjsports-2024-109380, longest of 30 days 10 km
    [(9.0, None), (11.0, None), (11.1, 1.64), (13.0, 1.64), (13.1, 1.52), (20.0, 1.52), (20.1, 2.28)],
)
def test_a_run_beyond_the_longest_of_thirty_days(length, hazard):
    assert against_longest(length, [6, 8, 10, 7]).hazard == hazard
    assert N_RUNNERS == 5205


@pytest.mark.parametrize("before", [[], [10, 10, 10], [0, 0, 0, 0]])
def test_silent_where_there_is_too_little_to_compare_with(before):
    assert against_longest(30, before) is None


def test_a_taper_lowers_volume_by_the_published_shares():
    # Bosquet et al. (2007): volume down by 41 to 60 %
    assert taper_minutes(100) == pytest.approx((40, 59))
