"""A crew's page of a small made-up lineup, and partial fills of it drawn at random."""

import random
from dataclasses import replace
from datetime import date, datetime, timedelta, timezone

from register.audit.session import AuditRequest, session
from register.maintenance.due import due_list
from register.rounds.crew_page import Change, Day, crew_page
from register.rounds.saved_file import RECORD, Answer, SavedRound

TODAY = date(2026, 11, 25)
MADE_ON = "2026-11-25T06:00:00+00:00"
HOSTILE = ("=1+1", "</script><img src=x>", "'; DROP TABLE record; --", "\u202etxet", "Ω ⓃⒺ 三相", "a\nb\u2028c", "%_")


def page_of(path, *, changes=None, **asked):
    """The crew's page of a register; `changes` are settings to change by tag, as (column, before, after)."""
    found = {tag: [Change(*one) for one in own] for tag, own in (changes or {}).items()}
    with session(path, AuditRequest(today=TODAY)) as opened:
        due = due_list(opened.db, today=TODAY, until=date(2027, 1, 24), bus=asked.get("bus"), area=asked.get("area"))
        day = Day(on="2026-11-25", changes=lambda tags: {t: found.get(t, []) for t in tags}, **asked)
        return crew_page(opened, day, due.items, made_on=MADE_ON)


def answers_of(made):
    """Every answer that the page can give, blank: as the page's own script puts it together."""
    found = []
    for stop in made.stops:
        for job in stop.jobs:
            subject = "bus" if stop.is_bus else "position"
            found.append(Answer(job.table, stop.at, job.name, subject, None, "not known", None, "", "", "", MADE_ON))
        for q in stop.questions:
            found.append(
                Answer(q.column.table, stop.at, q.column.name, q.row, q.on_file, "not known", None, "", "", "", MADE_ON)
            )
    return found


def filled(made, seed, *, who="R. Kvernø", share=None):
    """A page filled in here and there: by seed the results, the values as found and left, notes, the minute of each."""
    draw = random.Random(seed)
    jobs = {(job.table, stop.at, job.name): job for stop in made.stops for job in stop.jobs}
    asked = {(q.column.table, s.at, q.column.name): q for s in made.stops for q in s.questions}
    share = draw.random() if share is None else share
    given = []
    for blank in answers_of(made):
        if draw.random() >= share:
            continue
        key = blank.table, blank.at, blank.column
        at = datetime(2026, 11, 25, 7, tzinfo=timezone(timedelta(hours=1))) + timedelta(minutes=draw.randrange(600))
        one = replace(blank, note=draw.choice(("", "", "seal torn", *HOSTILE)), answered_at=at.isoformat())
        given.append(_job(one, jobs[key], draw) if key in jobs else _cell(one, asked[key], draw))
    return SavedRound(
        made.register, f"page-{seed}", made.site, made.title, made.made_on, who, "2026-11-25T18:00:00+01:00",
        tuple(given), "0" * 64,
    )  # fmt: skip


def _job(one, job, draw):
    word = draw.choice(job.choices)
    one = replace(one, state="value", value=word, as_typed=word)
    if job.table == RECORD and job.ask and draw.random() < 0.7:
        number = round(draw.uniform(0.5, 400), 1)
        one = replace(one, found=number, found_typed=str(number), found_unit=job.unit)
    return one


def _cell(one, question, draw):
    if question.target is None:
        return replace(one, state=draw.choice(("illegible", "not applicable")))
    left, found = (draw.choice((question.target, question.on_file)) for _ in range(2))
    one = replace(one, state="value", value=left, as_typed=str(left), unit=question.column.unit)
    if draw.random() < 0.7:
        one = replace(one, found=found, found_typed=str(found), found_unit=question.column.unit)
    return one
