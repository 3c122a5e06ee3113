"""The week ahead in a letter: one line a day, what it is for, how long, and the one range that leads it."""

from datetime import date

from coachlib.analysis.roster.week_ahead import AheadDay, WeekAhead
from coachlib.records.athlete import Event
from coachlib.report.look.markdown import words_html
from coachlib.report.look.text import escape
from coachlib.report.page.blocks import Html
from coachlib.report.words import plan, wording
from coachlib.report.words.catalogue import whole


def ahead(found: WeekAhead) -> Html:
    """What is planned for the seven days after the week; nothing where nothing is."""
    if not found.days and not found.events:
        return Html("")
    first = "".join(f"<p>{escape(whole(c))}</p>" for c in found.first)
    rows = [(e.on, 0, _event(e)) for e in found.events]
    if not found.waits:
        rows += [(d.day.on, 1, _day(d)) for d in found.days]
    items = "".join(html for *_, html in sorted(rows, key=lambda row: row[:2]))
    days = f'<ol class="days ahead">{items}</ol>' if items else ""
    stop = "" if found.waits else _stop_rule(found)
    return Html(f'<section class="plan"><h2>The week ahead</h2>{first}{days}{stop}</section>')


def _stop_rule(found: WeekAhead) -> str:
    """When to stop, where something hard or a test is asked for."""
    hard = [d.day for d in found.days if d.day.is_hard and not d.held]
    if not hard:
        return ""
    rule = plan.STOP_AT_ONCE if all(d.is_test for d in hard) else f"{plan.STOP_RULE} {plan.STOP_AT_ONCE}"
    return f'<p class="small">{escape(rule)}</p>'


def _line(on: date, asked: str, beside: str = "") -> str:
    """One day: its name, what is asked, and beside it how long and by what it is led."""
    return (
        f'<li><div class="what"><span class="day">{wording.DAYS[on.weekday()]}</span></div> '
        f'<div class="asked">{asked}</div>{beside}</li>'
    )


def _event(event: Event) -> str:
    return _line(event.on, f'<span class="typed">{words_html(event.name)}</span>')


def _day(found: AheadDay) -> str:
    """One planned day: the coach's words, what it is for, how long, by what it is led; or why it waits."""
    day = found.day
    own = day.words or (day.target if day.target != day.meant else None)
    said = f'<span class="typed">{words_html(own)}</span>' if own else escape(plan.name(day.meant))
    aside = "waits" if found.held else escape(plan.PURPOSES.get(day.meant, ""))
    asked = f'{said} <span class="for">{aside}</span>' if aside else said
    if found.held:
        why = " ".join(escape(whole(c)) for c in (found.held[0], *found.instead[:1]))
        return _line(day.on, asked, f'<p class="small">{why}</p>')
    facts = [] if day.minutes is None else [wording.duration(60 * day.minutes)]
    if day.lead is not None:
        facts.append(plan.lead(day.lead))
    led = f'<div class="facts">{" ".join(f"<span>{escape(f)}</span>" for f in facts)}</div>' if facts else ""
    test = "" if found.sheet is None else f'<p class="small">{escape(whole(found.sheet))}</p>'
    return _line(day.on, asked, led + test)
