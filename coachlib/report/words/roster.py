"""The call sheet's reasons as sentences, each with its way out."""

from collections.abc import Callable
from datetime import date

from coachlib.report.words import files, wording


def in_short(group: str, kinds: list[str]) -> str:
    """A call sheet's entry in a few words, "" without a reason.

    Examples
    --------
    >>> in_short("talk to", ["no data", "test due"]), in_short("fine", [])
    ('talk to: no data and one more', '')
    """
    if not kinds:
        return ""
    more = f" and {wording.count(len(kinds) - 1, 'more', 'more')}" if kinds[1:] else ""
    return f"{group}: {kinds[0]}{more}"


def _n(value: float, decimals: int = 0) -> str:
    return wording.minus(value, decimals)


def _quote(words: str) -> str:
    return f", “{' '.join(words.split())}”" if words else ""


def _and_more(n: int, noun: str, plural: str = "") -> str:
    return f" (and {wording.count(n, noun, plural)})" if n else ""


def _wrote(on: date, words: str, n_more: int) -> str:
    return f"wrote on {wording.day(on)}{_quote(words)}{_and_more(n_more, 'more such', 'more such')}"


def _asked(on: date, words: str, n_more: int) -> str:
    return f"asked on {wording.day(on)}{_quote(words)}{_and_more(n_more, 'more question')}"


def _unwell(on: date, health: str, words: str, n_days: int, is_over: bool) -> str:
    more = f" ({wording.count(n_days, 'day')} this week)" if n_days > 1 else ""
    since = ", no longer since" if is_over else ""
    return f"wrote {health} on {wording.day(on)}{_quote(words)}{more}{since}"


def _silent(days: int | None, last_on: date | None) -> str:
    if days is None or last_on is None:
        return "no recording so far"
    return f"no recording for {wording.count(days, 'day')}, the last on {wording.day(last_on)}"


def _silent_out(days: int | None, last_on: date | None) -> str:
    if days is None or last_on is None:
        return "ask whether training was recorded; file it away"
    return "ask what happened; mark the days where ill or travelling"


def _not_easy(
    above_pct: float,
    low_pct: float,
    high_pct: float,
    usual_pct: float | None,
    **_: object,
) -> str:
    usual = "" if usual_pct is None else f", usually {_n(usual_pct)} %"
    between = "" if _n(low_pct) == _n(high_pct) else f" ({_n(low_pct)} to {_n(high_pct)})"
    return f"easy sessions {_n(above_pct)} % above the first threshold{between}{usual}"


def _felt_hard(on: date, rpe: float | None, could_talk: bool, usual_rpe: float | None, n_days: int) -> str:
    felt = [f"effort {wording.plain(rpe)} of 10"] if rpe is not None else []
    felt += [] if could_talk else ["could not talk"]
    usual = f", effort usually {wording.plain(usual_rpe)}" if usual_rpe is not None else ""
    more = f" ({wording.count(n_days, 'such day')} this week)" if n_days > 1 else ""
    return f"{' and '.join(felt)} on {wording.day(on)}, meant as easy{usual}{more}"


def _slept(on: date, sleep_h: float, usual_h: float | None, n_nights: int) -> str:
    usual = f", usually {_n(usual_h, 1)}" if usual_h is not None else ""
    more = f" ({wording.count(n_nights, 'such night')} this week)" if n_nights > 1 else ""
    return f"slept {wording.plain(sleep_h)} h before {wording.day(on)}{usual}{more}"


def _hot(
    on: date, temperature_c: float, humidity_pct: float | None, wbgt_c: float | None, usual_c: float | None
) -> str:
    damp = (
        ""
        if humidity_pct is None or wbgt_c is None
        else f" at {_n(humidity_pct)} % humidity, a wet-bulb globe temperature of about {wording.temperature(wbgt_c)}"
    )
    usual = f"; usually {wording.temperature(usual_c)}" if usual_c is not None else ""
    return f"trained at {wording.temperature(temperature_c)}{damp} on {wording.day(on)}{usual}"


def _load(by: str, load: float, usual: float, low: float | None, high: float | None) -> str:
    return (
        f"load by {by} {_n(load / usual, 1)} times the usual week "
        f"({_n(load)}; own range {_n(low or 0)} to {_n(high or 0)})"
    )


def _drifted(
    on: date,
    drift_pct: float,
    low_pct: float,
    high_pct: float,
    at_constant_output: bool,
    window_s: float,
    hourly_pct: float | None,
    usual_hourly_pct: float | None,
    temperature_c: float | None,
) -> str:
    compared = ""
    if hourly_pct is not None and usual_hourly_pct is not None:
        is_hour = wording.minutes(window_s) == wording.minutes(3600)
        now = "" if is_hour else f"brought to 60 min {_n(hourly_pct, 1)} %, "
        compared = f"; {now}usually {_n(usual_hourly_pct, 1)} %"
    warm = f"; it was {wording.temperature(temperature_c)}" if temperature_c is not None else ""
    held = ", allowing for output," if at_constant_output else ""
    return f"heart rate {wording.changed(drift_pct, low_pct, high_pct)} over {wording.minutes(window_s)}{held} on {wording.day(on)}{compared}{warm}"


def _unreadable(what: str, why: str, n_more: int) -> str:
    return f"{what}{_and_more(n_more, 'more', 'more')}{': ' if what else ''}{why}"


def _unreadable_out(what: str, why: str, n_more: int) -> str:
    return f"{'repair or remove' if what else 'correct'} the file; `coachlib check` tells all"


def _cut(on: date, n_sessions: int, **totals: float | None) -> str:
    more = f" ({wording.count(n_sessions, 'such recording')} this week)" if n_sessions > 1 else ""
    return f"{wording.day(on)}: {files.totals(**totals)}{more}"  # type: ignore[arg-type]


def _damaged(on: date, read_s: float, n_sessions: int) -> str:
    more = f" ({wording.count(n_sessions, 'such recording')} this week)" if n_sessions > 1 else ""
    return f"the recording of {wording.day(on)} is damaged or was cut off: {wording.duration(read_s)} of it could be read{more}"


def _strap(on: date, missing_pct: float, n_sessions: int) -> str:
    more = f" ({wording.count(n_sessions, 'such session')} this week)" if n_sessions > 1 else ""
    return f"no usable heart rate for {_n(missing_pct)} % of the session on {wording.day(on)}{more}"


def _pending(on: date, kind: str, n_suggestions: int) -> str:
    spans = f", {wording.count(n_suggestions, 'suggested exclusion')}" if n_suggestions else ""
    return f"the {kind} of {wording.day(on)} waits for your decisions{spans}"


def _doubt(
    accepted_bpm: float,
    disagrees: str,
    low_bpm: float | None,
    high_bpm: float | None,
    test_bpm: float | None,
    silent_weeks: int | None,
) -> str:
    threshold = f"the threshold of {wording.heart_rate(accepted_bpm)}"
    if low_bpm is None or high_bpm is None:
        return (
            f"no session has said anything about {threshold} for {wording.count(silent_weeks or 0, 'week')}"
        )
    return (
        f"ordinary sessions disagree with {threshold}: it seems {disagrees} ({_n(low_bpm)} to {_n(high_bpm)})"
    )


def _doubt_out(test_bpm: float | None, **_: object) -> str:
    if test_bpm is None:
        return "a steady hour within 10 bpm of it would"
    return f"plan a test near {wording.heart_rate(test_bpm)}; the accepted threshold stays until then"


def _stale(which: str, hr_bpm: float, weeks: float, allowed_weeks: int) -> str:
    return (
        f"the {which} threshold ({wording.heart_rate(hr_bpm)}) is {_n(weeks)} weeks old; after {allowed_weeks} it should be "
        "tested again"
    )


def _due(n_tests: int, is_bound: bool) -> str:
    if is_bound:
        return "of the first threshold only a bound is accepted"
    known = f"; {wording.count(n_tests, 'test is', 'tests are')} there to estimate it from" if n_tests else ""
    return f"no first threshold has been accepted{known}"


def _trend(
    trend: str,
    hr_bpm: float,
    unit: str,
    size: float,
    low: float,
    high: float,
    since_on: date,
    compared_with: str,
    call: str,
    is_up: bool,
) -> str:
    why = f" ({compared_with})" if compared_with else ""
    return (
        f"{trend}: output at {wording.heart_rate(hr_bpm)} {'up' if is_up else 'down'} by "
        f"{wording.output_difference(size, low, high, unit=unit)} since {wording.day_and_month(since_on)}{why}, {call}"
    )


def _trend_up(may_be_tested: bool = True, **values: object) -> str:
    return _trend(**values, is_up=True)  # type: ignore[arg-type]


def _trend_down(
    n_weeks: int = 0,
    sleep_h: float | None = None,
    n_unwell: int = 0,
    load_ratio: float | None = None,
    **values: object,
) -> str:
    return _trend(**values, is_up=False)  # type: ignore[arg-type]


def _trend_down_out(
    n_weeks: int = 0,
    sleep_h: float | None = None,
    n_unwell: int = 0,
    load_ratio: float | None = None,
    **_: object,
) -> str:
    beside = context(n_weeks, sleep_h, n_unwell, load_ratio)
    return f"ask before judging: a bad fortnight looks the same as lost fitness{f' ({beside})' if beside else ''}"


def context(n_weeks: int, sleep_h: float | None, n_unwell: int, load_ratio: float | None) -> str:
    """What stands beside a change, "" where nothing is known.

    Examples
    --------
    >>> context(3, 5.94, 2, 0.7)
    'last 3 weeks: sleep 5.9 h, unwell on two days, load 0.7 times the usual'
    """
    told = [f"sleep {_n(sleep_h, 1)} h"] if sleep_h is not None else []
    told += [f"unwell on {wording.count(n_unwell, 'day')}"] if n_unwell else []
    told += [f"load {_n(load_ratio, 1)} times the usual"] if load_ratio is not None else []
    return f"last {n_weeks} weeks: {', '.join(told)}" if told else ""


def _anew(trend: str, because: str, since_on: date | None, first_call_on: date | None) -> str:
    since = f" since {wording.day_and_month(since_on)}" if since_on else ""
    until = f" before the week of {wording.day_and_month(first_call_on)}" if first_call_on else " for now"
    return f"{trend}: {because}{since}; no change can be told{until}"


def _always(said: str) -> Callable[..., str]:
    return lambda **_: said


SENTENCES: dict[str, Callable[..., str]] = {
    "chest pain or collapse": _wrote,
    "physician first": _wrote,
    "illness or pain": _unwell,
    "health in words": _wrote,
    "ill or hurt for days": lambda kind, since_on: f"{kind} since {wording.full_date(since_on)}",
    "question": _asked,
    "no data": _silent,
    "easy days not easy": _not_easy,
    "easy day felt hard": _felt_hard,
    "short sleep": _slept,
    "hot day": _hot,
    "load outside own range": _load,
    "drift unusually high": _drifted,
    "unreadable": _unreadable,
    "recording cut": _cut,
    "recording damaged": _damaged,
    "strap failing": _strap,
    "decisions pending": _pending,
    "back from illness": lambda since_on, n_sessions: (
        f"newly back since {wording.short_date(since_on)}, {n_sessions} of three sessions done; the threshold was not "
        "checked since"
    ),
    "medicine without dates": lambda: (
        "takes a medicine that changes heart rate, since when is not written; no heart-rate advice is given"
    ),
    "threshold in doubt": _doubt,
    "threshold stale": _stale,
    "tests against each other": lambda repeat_bpm: (
        "two tests of the first threshold contradict each other, and nothing else decides"
    ),
    "threshold untested": lambda hr_bpm, **since: (
        f"the first threshold, {wording.heart_rate(hr_bpm)}, is from before {wording.event(**since)} and was not checked "
        "since"
    ),
    "test due": _due,
    "trend up": _trend_up,
    "trend down": _trend_down,
    "new reference": _anew,
}
_CALL_FIRST = "no training or test before a physician has looked; then mark it settled"
WAYS_OUT: dict[str, Callable[..., str]] = {
    "chest pain or collapse": _always(f"call today; the emergency number if it lasts; {_CALL_FIRST}"),
    "physician first": _always(f"call; {_CALL_FIRST}"),
    "illness or pain": lambda is_over, **_: (
        "ask how it is now" if is_over else "call; rest and a physician come first"
    ),
    "health in words": _always("ask how it is now"),
    "ill or hurt for days": _always("ask how it goes; the way back is by the gates, and no test until then"),
    "question": _always("answer it"),
    "no data": _silent_out,
    "easy days not easy": lambda may_be_tested, **_: (
        "ask for slower easy days, or test whether the threshold has moved"
        if may_be_tested
        else "once training may go on, ask for slower easy days"
    ),
    "easy day felt hard": _always("ask what made it hard: tiredness, heat, illness, or the company"),
    "short sleep": _always("ask about it; go easy on the day after"),
    "hot day": _always("move hard work to cooler hours; expect heart rate to run high"),
    "load outside own range": _always("was it meant? plan the coming week with it in mind"),
    "drift unusually high": _always("look for heat, thirst, tiredness or artefacts before reading more into it"),
    "unreadable": _unreadable_out,
    "recording cut": _always(files.EXPORT_AGAIN),
    "recording damaged": _always(files.EXPORT_AGAIN),
    "strap failing": _always("wet the strap, wash it, change its battery"),
    "decisions pending": _always("open it, set the window, accept or reject what is suggested"),
    "back from illness": _always("short and easy, with the gates before, after and the day after each session"),
    "medicine without dates": _always("ask since when, and write the day and what changed into the profile"),
    "threshold in doubt": _doubt_out,
    "threshold stale": _always("plan a test"),
    "tests against each other": lambda repeat_bpm: (
        f"see what differed between them, then repeat the test near {wording.heart_rate(repeat_bpm)}"
    ),
    "threshold untested": _always("plan a test"),
    "test due": lambda is_bound, **_: (
        "a further test can make a value of it" if is_bound else "do a drift test, or accept an estimate"
    ),
    "trend up": lambda may_be_tested, **_: (
        "tell the athlete; test whether the threshold has moved up" if may_be_tested else "tell the athlete; no test for now"
    ),
    "trend down": _trend_down_out,
    "new reference": _always("if it changes nothing, note there that the comparison goes on"),
}  # fmt: skip
