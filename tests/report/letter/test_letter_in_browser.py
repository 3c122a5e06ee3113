"""A full week's letter in a browser: short on a phone, side by side where there is room, open on paper."""

import itertools
from dataclasses import replace

import pytest
from axe_playwright_python.sync_playwright import Axe
from report.letter_page import letter_page, words_seen
from report.page.test_browser import opened
from report.season_drawn import BETTER, hours, season, week
from season_parts import anna, day, readings_of, session

from coachlib.analysis.recording.judged import OutputSummary
from coachlib.analysis.roster.athlete_week import AthleteWeek
from coachlib.records.athlete import Threshold

MOST_WORDS = 600
SCHEMES = ["light", "dark"]
BOTH = anna(
    hr_rest_bpm=50,
    sex="female",
    thresholds=(
        Threshold(which="first", on=day(14), hr_bpm=150, hr_low_bpm=146, hr_high_bpm=154, speed_mps=2.9, grade=0.04, method="drift series 3"),
        Threshold(which="second", on=day(13), hr_bpm=170, hr_low_bpm=160, hr_high_bpm=180, speed_mps=3.6),
    ),
)  # fmt: skip
pytestmark = pytest.mark.browser


def seven_sessions() -> AthleteWeek:
    """Sixteen weeks of three sessions, then one with a session every day, one of them a test, everything written down."""
    split = hours(0.8, 0.15, 0.05)
    known = {
        "trimp": 60.0,
        "domains": split,
        "distance_m": 12_345.0,
        "climb_m": 234.0,
        "kind": "easy",
        "hr_mean_bpm": 140.0,
    }
    pace = OutputSummary(
        **(dict.fromkeys(OutputSummary.__dataclass_fields__) | {"kind": "flat-equivalent speed", "mean": 3.0})
    )
    sessions = [session(day(w, d), drift_pct=2.0, **known) for w in range(15) for d in (1, 3, 5)]
    sessions += [
        session(
            day(15, d), drift_pct=1.8, rpe=4, planned="drift test" if d == 5 else "easy 60", remarks="Legs heavy, sun out. " * 4,
            **{**known, "kind": "drift test" if d == 5 else "easy", "trimp": 90.0},
        )
        for d in range(7)
    ]  # fmt: skip
    sessions = [
        replace(s, output=pace, minute_bpm=tuple(140.0 + i / 10 for i in range(60))) for s in sessions
    ]
    built = season(sessions, readings_of(BETTER, noise=0.06), BOTH)
    this = week(sessions, BOTH, note="Dear Anna,\n\n" + "a good week, and more of that. " * 20)
    return AthleteWeek(week=this, season=built, history=tuple(sessions))


@pytest.fixture(scope="module")
def file(tmp_path_factory):
    path = tmp_path_factory.mktemp("letters") / "seven.html"
    path.write_text(letter_page(seven_sessions()), "utf-8")
    return path


def test_a_full_week_is_read_in_three_minutes(browser, file):
    page = opened(browser, file)
    seen = words_seen(page)
    assert page.locator(".days > li").count() == 7
    assert page.locator("figure").count() >= 6, "the week that is counted holds figures"
    assert not {"heavy,", "Dear"} & set(seen), "others' words do not count"
    assert 300 < len(seen) <= MOST_WORDS
    page.context.close()


def columns(page) -> list[list[float]]:
    """Left edges of the season's figures that are seen, each list one row."""
    boxes = page.evaluate(
        """[...[...document.querySelectorAll('section:has(.more)')].at(-1).querySelectorAll('.pairs figure')].filter(f => f.checkVisibility({contentVisibilityAuto: true}))
        .map(f => f.getBoundingClientRect()).map(b => [b.top, b.left, b.width])"""
    )
    rows = itertools.groupby(sorted(boxes), key=lambda box: round(box[0]))
    return [[round(left) for _, left, _ in sorted(row, key=lambda b: b[1])] for _, row in rows]


def test_a_phone_folds_what_a_wide_page_sets_in_two_even_columns(browser, file):
    page = opened(browser, file, width=390)
    assert [len(row) for row in columns(page)] == [1]
    assert page.locator(".more > summary").last.is_visible()
    page.context.close()
    for width in (820, 1280, 1920):
        page = opened(browser, file, width=width)
        rows = columns(page)
        assert len(rows) >= 2
        assert {len(row) for row in rows[:-1]} == {2}
        assert len({tuple(row) for row in rows[:-1]}) == 1, "the columns stand under one another"
        assert not page.locator(".more > summary").last.is_visible()
        widths = page.evaluate(
            "[...document.querySelectorAll('.pairs figure:not(.alone)')].map(f => f.offsetWidth)"
        )
        assert max(widths) - min(widths) <= 1
        page.context.close()


@pytest.mark.parametrize("width", [1280, 1920])
def test_a_narrow_column_of_a_wide_window_is_laid_out_like_a_phone(browser, file, width):
    page = opened(browser, file, width=width)
    page.evaluate("document.querySelector('main').style.maxWidth = '400px'")
    assert {len(row) for row in columns(page)} == {1}
    captions = page.evaluate(
        "[...document.querySelectorAll('figcaption')].map(c => c.offsetWidth).filter(width => width)"
    )
    assert min(captions) > 300, "no caption runs one letter a line"
    page.context.close()


@pytest.mark.parametrize("width", [320, 390, 820, 1280])
def test_nothing_is_cut_or_scrolls_sideways(browser, file, width):
    page = opened(browser, file, width=width)
    page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
    assert page.evaluate("document.documentElement.scrollWidth") == width
    cut = page.evaluate(
        """[...document.querySelectorAll('svg.chart')].flatMap(svg => {
            const frame = svg.closest('figure').getBoundingClientRect();
            return [...svg.querySelectorAll('text')].filter(text => {
                const box = text.getBoundingClientRect();
                return box.right > Math.min(frame.right + 16, innerWidth) || box.left < Math.max(frame.left - 16, 0)
            }).map(text => text.textContent)})"""
    )
    assert cut == []
    page.context.close()


@pytest.mark.parametrize(("width", "scheme"), list(itertools.product([390, 1280], SCHEMES)))
def test_axe_finds_nothing_folds_open_and_closed(browser, file, width, scheme):
    page = opened(browser, file, width=width, scheme=scheme)
    for is_open in ("false", "true"):
        page.evaluate(f"document.querySelectorAll('details').forEach(d => d.open = {is_open})")
        found = Axe().run(page)
        assert found.violations_count == 0, found.generate_report()
    page.context.close()


def test_everything_folded_is_open_on_paper(browser, file):
    page = opened(browser, file, width=658)
    page.emulate_media(media="print")
    hidden = page.evaluate(
        """[...document.querySelectorAll('details > :not(summary)')].filter(
            e => !e.checkVisibility({contentVisibilityAuto: true}) || !e.getBoundingClientRect().height)
        .map(e => e.outerHTML.slice(0, 60))"""
    )
    assert page.locator("details table").count() >= 5
    assert hidden == []
    page.context.close()


@pytest.mark.parametrize("scheme", SCHEMES)
def test_the_harder_the_darker(browser, file, scheme):
    page = opened(browser, file, scheme=scheme)
    shades = page.evaluate(
        """['z1', 'z2', 'z3', 'z4', 'z5'].map(z => {
            const bar = document.createElement('span'); bar.className = 'part ' + z;
            document.querySelector('.bar').append(bar);
            return getComputedStyle(bar).backgroundColor.match(/\\d+/g).map(Number).reduce((a, b) => a + b)})"""
    )
    assert shades == sorted(shades, reverse=True)
    page.context.close()


UNSAID = (
    "100 to 100", "half means", "drift series 3", " pp", "[[", "onotony", "Strain", "per beat", "decoupling"
)  # fmt: skip


def test_what_only_a_statistician_or_a_program_says_is_not_seen(browser, file):
    page = opened(browser, file)
    seen = " ".join(words_seen(page))
    assert not [words for words in UNSAID if words in seen]
    whole = page.evaluate("document.querySelector('main').textContent")
    assert not [words for words in UNSAID if words in whole and words != "half means"]
    assert whole.count("Drift is how much higher") == 1
    page.context.close()
