"""The library for tests that have a register's file: each function with it opened for the one call.

`by_path.ask(path, "P-1", rule, today=…)` opens the register, asks what `today=`, `site_rules=`,
`measured_only=` and `area=` say, and calls `ask(session, "P-1", rule)`.
"""

from dataclasses import fields
from functools import wraps

from register.audit import actions as corrective_actions
from register.audit import annual_review, as_of, concession_requests, difference_causes, results, rule_trial
from register.audit.session import AuditRequest, session
from register.planning.replace import of_register as candidates_of
from register.planning.replace import swap
from register.planning.replace import tonight as bypass
from register.planning.settings import checklist as steps
from register.planning.settings import clearing
from register.planning.settings import sheet as settings_sheet
from register.planning.stock import survey
from register.planning.years import of_register as years
from register.reports import review
from register.rulebook.load.pack import load_pack
from register.starts import bus_restart, plant_starts
from register.starts import study as start_study
from register.starts import window as start_window
from register.store import as_of as past
from register.store.database import opened

ASKED = {field.name for field in fields(AuditRequest)}


def _judged(function, *, write=None):
    """A function of an audit session."""

    @wraps(function)
    def call(path, *args, **named):
        request = AuditRequest(**{name: named.pop(name) for name in ASKED & named.keys()})
        with session(path, request, write=write) as asked:
            return function(asked, *args, **named)

    return call


def _read(function, *, write=False):
    """A function of an open register."""

    @wraps(function)
    def call(path, *args, **named):
        with opened(path, write=write) as db:
            return function(db, *args, **named)

    return call


of_register = _judged(results.report_of)
explained = _judged(results.explained)
at_position = _judged(results.at_position)
ask = _judged(concession_requests.ask, write=True)
decide = _judged(concession_requests.decide)
concessions = _judged(concession_requests.current)
assign = _judged(corrective_actions.assign, write=True)
close = _judged(corrective_actions.close, write=True)
actions = _read(corrective_actions.listed)
of_day = _judged(as_of.of_day, write=False)
again = _read(as_of.again)
compare = _read(difference_causes.compare)
try_rule = _judged(rule_trial.try_rule, write=False)

candidates = _judged(candidates_of.candidates, write=False)
for_failed = _judged(candidates_of.for_failed, write=False)
swap_at = _judged(swap.swap_at, write=True)
tonight = _judged(bypass.tonight)
least_changes = _judged(clearing.least_changes, write=False)
sheet = _judged(settings_sheet.sheet, write=False)
checklist = _read(steps.checklist)
spares = _judged(survey.spares)
plan = _judged(years.plan)

study = _read(start_study.study)
window = _read(start_window.window)
restart = _read(bus_restart.restart)
starts = _read(plant_starts.starts, write=True)

register_as_of = _read(past.as_of)


def compare_packs(path, old, new=None, *, site_rules=None, **named):
    """Two folders of rules on the register."""
    packs = [load_pack(folder, site_folder=site_rules) for folder in (old, new)]
    return _read(rule_trial.compare_packs)(path, *packs, **named)


def make_review(path, target, **named):
    """The review pack of the register."""
    return review.make(_judged(annual_review.annual_review)(path, **named), target)
