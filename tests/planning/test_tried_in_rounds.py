"""What is tried in rounds, or by fewer rules, comes out as if all were tried at once by all rules."""

from datetime import date
from types import SimpleNamespace

import numpy as np
import pytest

from register.calc.distinct import distinct
from register.facts.whatif import Variant
from register.planning.replace.fitting import Fitting, Tried
from register.planning.settings import options, settings, tried_starts
from register.planning.settings.settings import NEEDS, chosen
from register.planning.trials import Trials
from register.rulebook.load.pack import load_pack
from register.store.database import opened

TODAY = date(2026, 11, 25)


@pytest.fixture(scope="module")
def facts(demo):
    """Those of every twelfth position, and of it without what its overload and its load are."""
    with opened(demo.path) as db:
        tags = [tag for (tag,) in db.execute("SELECT tag FROM position ORDER BY tag")][::12]
        trials = Trials(db, tags, pack=load_pack(), today=TODAY)
        kinds = ("soft starter", "autotransformer", "star-delta", "drive", "across-the-line")
        changed = [{}, {"load_breakaway_pct": None}, *({"device_kind": kind} for kind in kinds)]
        made, _ = trials.facts([Variant(tag, more) for more in changed for tag in tags])
        return {name: made[name] for name in NEEDS}


def test_settings_tried_in_rounds_are_those_of_all_tried_at_once(facts, monkeypatch):
    pack, counts = load_pack(), []
    real = settings.courses

    def counted(f, columns):
        counts.append(columns["ramp_s"].size)
        return real(f, columns)

    monkeypatch.setattr(settings, "courses", counted)
    in_rounds, few = chosen(facts, pack=pack), sum(counts)
    monkeypatch.setattr(settings, "ROUNDS", (0, options.TRIED))
    monkeypatch.setattr(options, "tried_before", lambda columns: np.zeros(columns["ramp_s"].shape, bool))
    at_once = chosen(facts, pack=pack)
    assert 2 * few < sum(counts) - few, "the rounds spare starts"
    assert_the_same(in_rounds, at_once)


def test_starts_that_are_alike_come_out_as_if_each_were_simulated(facts, monkeypatch):
    pack, counts = load_pack(), []
    # Each start by two devices that differ in rating and range, with the overload in one or behind the other.
    smaller = {name: [v and 0.6 * v for v in facts[name]] for name in ("rated_current_a", "overload_max_a")}
    elsewhere = [{"device": "relay", "relay": "device"}.get(place) for place in facts["overload_place"]]
    other = {**facts, **smaller, "overload_place": elsewhere}
    facts = {name: [*facts[name], *other[name]] for name in facts}
    once = chosen(facts, pack=pack)

    def each(columns):
        columns = list(columns)
        every = np.arange(len(columns[0]))
        counts.append((len(distinct(columns)[0]), len(every)))
        return every, every

    monkeypatch.setattr(tried_starts, "distinct", each)
    assert_the_same(once, chosen(facts, pack=pack))
    assert sum(few for few, _ in counts) < sum(many for _, many in counts)


def assert_the_same(one, other):
    for kind in ("values", "figures", "exceeded", "sought"):
        for name, values in getattr(one, kind).items():
            np.testing.assert_array_equal(values, getattr(other, kind)[name], err_msg=name)


def test_what_was_tried_before_is_the_same_in_every_setting():
    columns = {
        "ramp_s": np.array([[5.0, 5.0, 5.0, np.nan], [1.0, 2.0, 3.0, 4.0]]),
        "tap_pct": np.array([[np.nan, np.nan, 65.0, np.nan], [np.nan] * 4]),
        "start_mode": np.array([["direct"] * 4, [None] * 4], object),
    }
    assert options.tried_before(columns).tolist() == [[False, True, False, False], [False] * 4]


def test_a_model_is_failed_and_unknown_by_the_rules_that_count_for_it(demo):
    with opened(demo.path) as db:
        tags = [tag for (tag,) in db.execute("SELECT tag FROM position ORDER BY tag")][5::60]
        fitting = Fitting(db, tags, pack=load_pack(), today=TODAY)
        compared = 0
        for tag, tried in fitting.each(tags):
            able = [one for one in tried.values() if one.settings]
            whole = fitting.finder.judged([(tag, one.candidate) for one in able]) if able else []
            for one, judged in zip(able, whole, strict=True):
                assert one.settings == judged.settings
                assert one.failed == tuple(rule for rule in judged.majors if rule in fitting.rules)
                assert one.open == tuple(rule for rule in judged.open_majors if rule in fitting.rules)
                compared += 1
        assert compared > 10


def test_what_is_not_tried_could_not_come_as_near_as_what_was(demo, monkeypatch):
    with opened(demo.path) as db:
        tags = [tag for (tag,) in db.execute("SELECT tag FROM position ORDER BY tag")][::3]
        fitting = Fitting(db, tags, pack=load_pack(), today=TODAY)
        few = dict(fitting.each(tags))
        monkeypatch.setattr(Fitting, "_is_asked_about", lambda *_: True)
        whole = dict(fitting.each(tags))
    left_out = of_others = 0
    for tag in tags:
        assert {model: whole[tag][model] for model in few[tag]} == few[tag]
        kind = fitting.trials.base[tag]["device_kind"]
        far = {model: one.far(alike=one.candidate.kind == kind) for model, one in whole[tag].items()}
        nearest = min(far[model] for model, one in few[tag].items() if one.candidate.obtainable)
        for model in far.keys() - few[tag].keys():
            assert far[model] > nearest
            left_out += 1
        present = fitting.trials.base[tag]["model"]
        covering = {model for model, one in whole[tag].items() if one.covers}
        assert whole[tag].keys() & {present} <= few[tag].keys(), "the device there, covering or not"
        assert covering & fitting.stored <= few[tag].keys(), "all in store that covers"
        if not any(whole[tag][model].candidate.kind == kind for model in covering):
            assert covering <= few[tag].keys(), "of other kinds, as none of the present kind covers"
            of_others += bool(covering)
    assert left_out > 100
    assert of_others > 2


def test_what_stands_there_and_what_store_may_give_is_always_tried():
    """A plan names what the present model fails; who has no working device asks store first, for better or worse."""
    place = {
        "sound": {"model": "here", "device_status": "in service"},
        "dead": {"model": "here", "device_status": "failed"},
    }
    fitting = Fitting.__new__(Fitting)
    fitting.trials = SimpleNamespace(base=place)
    fitting.stored, fitting.besides = frozenset({"shelf"}), frozenset({"named"})

    def asked(tag, model, unknown=()):
        return fitting._is_asked_about(tag, Tried((), unknown, candidate=SimpleNamespace(model=model), settings={}))

    assert asked("sound", "here") and asked("dead", "here", ("a rule",)) and asked("sound", "named", ("a rule",))
    assert asked("sound", "shelf") and not asked("sound", "shelf", ("a rule",)) and asked("dead", "shelf", ("a rule",))
    assert not asked("sound", "catalogue") and not asked("dead", "catalogue")
