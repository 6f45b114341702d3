"""Two surveyors who take a copy of a register each, work on it at random, and bring it back; and what then has to be.

`expected` works on plain dicts of what the registers hold, before and after, and knows nothing of how a merge is done:
it compares values, not histories.
"""

from __future__ import annotations

import random
from collections import Counter, defaultdict
from contextlib import suppress

from sqlite_utils import Database

from register.columns import TABLES
from register.errors import StartrollError
from register.intake import undo
from register.intake.correct import add_record, move, set_value
from register.intake.replace_device import Swap, swap
from register.store import clock
from register.store.database import writing

PLACE = {
    "motor": ("tag", "motor_status", "motor_installed_on"),
    "device": ("tag", "device_status", "device_installed_on", "stored_since"),
}
NUMBERED = {"record": "record_id", "event": "event_id", "concession": "concession_id", "action": "action_id"}
GROUP = ("position", "protection", "bypass", "control", *NUMBERED)
VALUES = {
    "criticality": ("critical", "ordinary"), "starts_per_hour": ("2", "4", "6"), "position_notes": ("by the stairs", "at last"),
    "fla_a": ("12.4 A", "13 A"), "insulation_class": ("F", "H"), "firmware": ("1.2", "1.3"), "price": ("900", "1000"),
    "fault_current_ka": ("22 kA", "25 kA"), "ramp_s": ("8 s", "10 s"), "protection_rating_a": ("63 A", "80 A"),
    "bypass_arrangement": ("none", "two-contactor"), "control_voltage_v": ("24 V", "110 V"), "local_stop": ("yes", "no"),
}  # fmt: skip
WHY = ("illegible", "not surveyed", "not applicable")


def copied(db: Database) -> Database:
    """A copy in memory."""
    made = Database(memory=True)
    db.conn.backup(made.conn)
    made.conn.isolation_level = None
    made.conn.execute("PRAGMA foreign_keys = ON")
    return made


# What a register holds, as plain dicts.


def held(db: Database, names: dict[tuple[str, str], str]) -> dict:
    """Rows by table and key, and why blanks are blank; motors and devices under the names that they began with."""
    first = {(table, now): was for (table, was), now in names.items()}
    tables: dict[str, dict[str, dict]] = {}
    for table in TABLES.values():
        rows = {}
        cursor = db.execute(f"SELECT {', '.join(c.name for c in table.columns)} FROM {table.name}")
        columns = [d[0] for d in cursor.description]
        for values in cursor.fetchall():
            row = dict(zip(columns, values, strict=True))
            own = row.get(table.name)
            row |= {n: first.get((n, row[n]), row[n]) for n in ("motor", "device") if n in row}
            key = " | ".join(str(row[n]) for n in table.key)
            if table.name in ("motor", "device"):
                row["called"] = own
            rows[key] = row
        tables[table.name] = rows
    blanks = {}
    for table, key, column, reason in db.execute(
        "SELECT table_name, row_key, column_name, reason FROM blank"
    ).fetchall():
        if table in ("motor", "device"):
            key = first.get((table, key), key)
        if table == "setting":
            device, _, day = key.rpartition(" | ")
            key = f"{first.get(('device', device), device)} | {day}"
        blanks[table, key, column] = reason
    return {"rows": tables, "blanks": blanks}


def content(now: dict) -> dict:
    """What has to be alike in two registers that hold the same: rows less the numbers of records, and living blanks."""
    told = {}
    for table, rows in now["rows"].items():
        number = NUMBERED.get(table)
        told[table] = Counter(
            tuple((n, v) for n, v in sorted(row.items()) if n != number and v is not None) for row in rows.values()
        )
    told["blank"] = Counter(
        (*key, reason)
        for key, reason in now["blanks"].items()
        if key[0] not in NUMBERED and now["rows"][key[0]].get(key[1], {key[2]: 0})[key[2]] is None
    )
    return told


# A surveyor at work.


class Surveyor:
    """Works on a copy: `now` is what it holds at the end, `retired` what a position had when it was last retired."""

    def __init__(self, who: str, db: Database, rng: random.Random, tags: list[str], edits: int) -> None:
        self.who, self.db, self.rng, self.tags = who, db, rng, list(tags)
        self.names: dict[tuple[str, str], str] = {}
        self.retired: dict[str, dict] = {}
        self.moved: dict[tuple[str, str], tuple[str, tuple]] = {}
        self.sets: list[int] = []
        self.done = 0
        self._places = self._where()
        while edits > 0:
            count = min(edits, rng.randint(1, 4))
            self._visit(count)
            edits -= count
        self.now = held(db, self.names)

    def _visit(self, count: int) -> None:
        if self.rng.random() < 0.08:  # another program, which knows no change-sets
            tag = self.rng.choice(self.tags)
            self.db.conn.execute("UPDATE position SET area = ? WHERE tag = ?", [self.rng.choice("XY"), tag])
            self.done += 1
            return
        retired, moved = set(self.retired), dict(self.moved)
        with suppress(StartrollError), writing(self.db, reason=f"seen by {self.who}", author=self.who) as number:
            self.sets.append(number)
            for _ in range(count):
                self._edit(alone=count == 1)
        # Into store and its position retired, in one change-set: nobody can tell it from what a retirement does.
        for key, (how, was) in self.moved.items():
            stored = self._places.get(key, (None, None))[:2] == (None, "in store")
            if how == "away" and stored and moved.get(key) != (how, was) and was[0] in self.retired.keys() - retired:
                self.moved[key] = "retire", was

    def _edit(self, *, alone: bool) -> None:
        name = self.rng.choices(*zip(*self.EDITS, strict=True))[0]
        if name == "undone" and not alone:
            name = "value"  # `startroll undo` is a change-set of its own
        conn = self.db.conn
        conn.execute("SAVEPOINT edit")
        kept = dict(self.names), dict(self.retired)
        self.doing = name
        try:
            getattr(self, name)()
            self.done += 1
        except StartrollError:
            conn.execute("ROLLBACK TO edit")
            self.names, self.retired = kept
        conn.execute("RELEASE edit")
        places = self._where()
        for key in places.keys() | self._places.keys():
            if places.get(key) != self._places.get(key):
                self.moved[key] = name, self._places.get(key)
        self._places = places

    def _where(self) -> dict[tuple[str, str], tuple]:
        first = {(table, now): was for (table, was), now in self.names.items()}
        return {
            (table, first.get((table, row[0]), row[0])): row[1:]
            for table, columns in PLACE.items()
            for row in self.db.execute(f"SELECT {table}, {', '.join(columns)} FROM {table}").fetchall()
        }

    EDITS = (
        ("value", 10), ("blank", 3), ("away", 2), ("put", 3), ("swapped", 1), ("check", 2), ("happened", 1), ("assigned", 1),
        ("retire", 1), ("back", 0.5), ("added", 1), ("serial", 1), ("read", 1), ("undone", 0.7), ("there_and_back", 0.5),
    )  # fmt: skip

    def value(self) -> None:
        column = self.rng.choice(list(VALUES))
        set_value(self.db, self.rng.choice(self.tags), column, self.rng.choice(VALUES[column]))

    def blank(self) -> None:
        column = self.rng.choice(list(VALUES))
        set_value(self.db, self.rng.choice(self.tags), column, None, blank_reason=self.rng.choice(WHY))

    def there_and_back(self) -> None:
        tag = self.rng.choice(self.tags)
        for volts in ("380 V", "400 V", "690 V"):
            set_value(self.db, tag, "motor_voltage_v", volts)

    def _asset(self, where: str) -> tuple[str, str]:
        table = self.rng.choice(("motor", "device"))
        rows = self.db.execute(f"SELECT {table} FROM {table} WHERE {where} ORDER BY 1").fetchall()
        if not rows:
            raise StartrollError("none")
        return table, self.rng.choice(rows)[0]

    def away(self) -> None:
        marks = ",".join(f"'{t}'" for t in self.tags)
        table, own = self._asset(f"tag IN ({marks})")
        move(self.db, table, own, None, status=self.rng.choice(("in store", "failed", "scrapped")))

    def put(self) -> None:
        marks = ",".join(f"'{t}'" for t in self.tags)
        table, own = self._asset(f"tag IS NULL OR tag IN ({marks})")
        move(self.db, table, own, self.rng.choice(self.tags))

    def swapped(self) -> None:
        stored = self.db.execute("SELECT device FROM device WHERE device_status = 'in store' ORDER BY 1").fetchall()
        model = self.db.execute("SELECT min(model) FROM model").fetchone()[0]
        new = {"stored": self.rng.choice(stored)[0]} if stored else {"model": model, "serial": f"N{self.rng.random()}"}
        out = self.rng.choice(("failed", "in store"))
        asked = Swap(tag=self.rng.choice(self.tags), out=out, cause="tripped", by=self.who, values={"ramp_s": 9}, **new)
        swap(self.db, asked, today=clock.today(self.db))

    def check(self) -> None:
        by, result = self.rng.choice(("r.k.", self.who)), self.rng.choice(("passed", "failed"))
        if self.rng.random() < 0.25:
            bus = self.rng.choice(self.db.execute("SELECT bus FROM bus ORDER BY bus").fetchall())[0]
            add_record(self.db, bus, "cleaning", result, subject="bus", by=by)
            return
        add_record(self.db, self.rng.choice(self.tags), "bump test", result, by=by)

    def happened(self) -> None:
        device = self.rng.choice(self.db.execute("SELECT device FROM device ORDER BY 1").fetchall())[0]
        row = (self.rng.choice(self.tags), "2026-05-04", self.rng.choice(("BRD", "FTS")), device)
        if not self.db.execute("SELECT 1 FROM position WHERE tag = ?", row[:1]).fetchone():
            raise StartrollError("retired")
        self.db.conn.execute("INSERT INTO event (tag, happened_on, failure_mode, device) VALUES (?, ?, ?, ?)", row)

    def assigned(self) -> None:
        tag = self.rng.choice(self.tags)
        if not self.db.execute("SELECT 1 FROM position WHERE tag = ?", [tag]).fetchone():
            raise StartrollError("retired")
        if self.rng.random() < 0.5:
            self.db.conn.execute("UPDATE action SET closed_by = ? WHERE tag = ?", [self.rng.choice("pq"), tag])
            return
        row = (tag, "sizing/current-covers-motor", self.rng.choice("pq"), "2026-11-01", "2026-12-01")
        sql = "INSERT INTO action (tag, against_rule, assigned_to, assigned_on, due_on) VALUES (?, ?, ?, ?, ?)"
        self.db.conn.execute(sql, row)

    def retire(self) -> None:
        tag = self.rng.choice(self.tags)
        before = held(self.db, self.names)
        undo.retire(self.db, tag)
        self.retired[tag] = before

    def back(self) -> None:
        undo.bring_back(self.db, self.rng.choice(self.tags))

    def added(self) -> None:
        tag = self.rng.choice(("N-901", "N-902"))
        if self.db.execute("SELECT 1 FROM position WHERE tag = ?", [tag]).fetchone():
            raise StartrollError("there")
        area = self.rng.choice("XY")
        self.db.conn.execute("INSERT INTO position (tag, area) VALUES (?, ?)", [tag, area])
        if tag not in self.tags:
            self.tags.append(tag)

    def serial(self) -> None:
        table, own = self._asset("tag IS NOT NULL")
        tag = self.db.execute(f"SELECT tag FROM {table} WHERE {table} = ?", [own]).fetchone()[0]
        here = self.db.execute(f"SELECT {table} FROM {table} WHERE tag = ? AND {table}_status IS NOT 'scrapped'", [tag])
        if [row[0] for row in here.fetchall()] != [own]:
            raise StartrollError("scrapped")
        first = next((was for (t, was), now in self.names.items() if (t, now) == (table, own)), own)
        new = f"S {first}" if self.rng.random() < 0.5 else f"S {first} {self.who}"
        set_value(self.db, tag, table, new)
        self.names[table, first] = new

    def read(self) -> None:
        tag = self.rng.choice(self.tags)
        device = self.db.execute("SELECT device FROM device WHERE tag = ?", [tag]).fetchone()
        if device is None:
            raise StartrollError("none")
        row = (device[0], "2026-11-20", self.rng.choice((7.0, 11.0)))
        self.db.conn.execute(
            "INSERT OR IGNORE INTO setting (device, setting_recorded_on, ramp_s) VALUES (?, ?, ?)", row
        )

    def undone(self) -> None:
        if len(self.sets) < 2:
            raise StartrollError("none")
        number = self.rng.choice(self.sets[:-1])
        names = self.db.execute(
            "SELECT 1 FROM change WHERE change_set = ? AND table_name IN ('motor', 'device') AND action = 'update'"
            " AND (json_extract(after, '$.motor') IS NOT NULL OR json_extract(after, '$.device') IS NOT NULL)",
            [number],
        ).fetchone()
        if names:
            raise StartrollError("a serial")
        undo.undo(self.db, number)


# What has to be when both come back.


def expected(base: dict, a: Surveyor, b: Surveyor, wins) -> tuple[dict, Counter]:
    """What the register has to hold, and the conflicts to be shown; `wins(column)` says whose side a conflict takes."""
    return _Expected(base, a, b, wins).run()


class _Expected:
    def __init__(self, base: dict, a: Surveyor, b: Surveyor, wins) -> None:
        self.base, self.wins = base, wins
        self.sides = (a, b)
        self.now = {s.who: {t: dict(rows) for t, rows in s.now["rows"].items()} for s in self.sides}
        self.conflicts: Counter = Counter()
        self.dead: set[str] = set()
        self.reasons: dict[tuple[str, str, str], str | None] = dict(base["blanks"])
        states = [set(state["blanks"].items()) for state in (base, a.now, b.now)]
        self._noted = {key[:2] for key, _ in (states[0] ^ states[1]) | (states[0] ^ states[2])}

    def run(self) -> tuple[dict, Counter]:
        for tag in self.base["rows"]["position"].keys() | self._tags():
            self._position(tag)
        rows: dict[str, dict] = {}
        for table in TABLES:
            rows[table] = self._numbered(table) if table in NUMBERED else self._rows(table)
        for table in PLACE:
            self._places(table, rows[table])
        return {"rows": rows, "blanks": self.blanks()}, self.conflicts

    def _tags(self) -> set[str]:
        return {tag for s in self.sides for tag in self.now[s.who]["position"]}

    def _position(self, tag: str) -> None:
        there = [tag in self.now[s.who]["position"] for s in self.sides]
        if all(there) or tag not in self.base["rows"]["position"]:
            return
        if not any(there):
            self.dead.add(tag)
            return
        stayed, went = self.sides if there[0] else self.sides[::-1]
        if not self._worked(stayed, tag):
            self.dead.add(tag)
            return
        self.conflicts["position", (tag,), "retired"] += 1
        if self.wins("retired") != stayed.who:
            self.dead.add(tag)
            return
        before = went.retired[tag]["rows"]
        for table in GROUP:
            back = {k: row for k, row in before[table].items() if row["tag"] == tag}
            now = self.now[went.who][table]
            # The number of a record that went may have been given to another one since.
            now |= {f"{k} back" if k in now else k: row for k, row in back.items()}
        for key, (how, was) in went.moved.items():
            if how == "retire" and was is not None and was[0] == tag:
                row = self.now[went.who][key[0]].get(key[1])
                if row is not None and row["tag"] is None:
                    self.now[went.who][key[0]][key[1]] = row | dict(zip(PLACE[key[0]], was, strict=True))

    def _worked(self, side: Surveyor, tag: str) -> bool:
        for table in GROUP:
            was = {k: r for k, r in self.base["rows"][table].items() if r["tag"] == tag}
            now = {k: r for k, r in self.now[side.who][table].items() if r["tag"] == tag}
            if was != now:
                return True
            for key, row in was.items():
                if any(
                    self._cell(self.base, table, key, n, row) != self._cell(side.now, table, key, n, row) for n in row
                ):
                    return True
        for table in PLACE:
            for key, row in self.now[side.who][table].items():
                if row["tag"] == tag and (self.base["rows"][table].get(key) or {"tag": None})["tag"] != tag:
                    return True
        return False

    @staticmethod
    def _cell(state: dict, table: str, key: str, name: str, row: dict | None) -> tuple:
        value = (row or {}).get(name)
        return (value, None) if value is not None else (None, state["blanks"].get((table, key, name)) if row else None)

    def _gone(self, table: str, row: dict) -> bool:
        return table in GROUP and row["tag"] in self.dead

    def _rows(self, table: str) -> dict:
        found = {}
        a, b = self.sides
        base = self.base["rows"][table]
        mine, its = self.now[a.who][table], self.now[b.who][table]
        for key in base.keys() | mine.keys() | its.keys():
            rows = base.get(key), mine.get(key), its.get(key)
            some = rows[1] or rows[2]
            if some is None or self._gone(table, some):
                continue
            if rows[0] == rows[1] == rows[2] and (table, key) not in self._noted:
                found[key] = dict(some)  # nobody was there
                for name in PLACE.get(table, ()):
                    del found[key][name]
                continue
            found[key] = self._merged(table, key, rows)
        return found

    def _merged(self, table: str, key: str, rows: tuple) -> dict:
        made = {}
        for name in rows[1] or rows[2]:
            if name in PLACE.get(table, ()):
                continue
            states = (self.base, self.sides[0].now, self.sides[1].now)
            was, mine, its = (self._cell(s, table, key, name, r) for s, r in zip(states, rows, strict=True))
            if rows[1] is None or rows[2] is None:
                chosen = mine if rows[2] is None else its
            elif mine == its or was == its:
                chosen = mine
            elif was == mine:
                chosen = its
            else:
                # The name of a motor or device is a column of its table.
                column = table if name == "called" else name
                self.conflicts[table, (key,), column] += 1
                chosen = mine if self.wins(column) == self.sides[0].who else its
            made[name] = chosen[0]
            self.reasons[table, key, name] = chosen[1]
        return made

    def blanks(self) -> dict:
        return {k: v for k, v in self.reasons.items() if v is not None}

    def _numbered(self, table: str) -> dict:
        number = NUMBERED[table]
        base = self.base["rows"][table]
        found = {}
        news: list[Counter] = []
        for side in self.sides:
            rows = self.now[side.who][table]
            new = Counter()
            for key, row in rows.items():
                if not _is_one(base.get(key), row) and row["tag"] not in self.dead:
                    new[tuple((n, v) for n, v in row.items() if n != number)] += 1
            news.append(new)
        for content, count in (news[0] | news[1]).items():
            for n in range(count):
                found[f"new {len(found)} {n}"] = dict(content)
        a, b = self.sides
        for key, row in base.items():
            rows = row, self.now[a.who][table].get(key), self.now[b.who][table].get(key)
            if row["tag"] not in self.dead and _is_one(row, rows[1]) and _is_one(row, rows[2]):
                found[key] = self._merged(table, key, rows)
        return found

    # Where motors and devices are.

    def _places(self, table: str, rows: dict) -> None:
        columns = PLACE[table]

        def where(state: dict, key: str) -> tuple | None:
            row = state.get(key)
            return tuple(row[n] for n in columns) if row else None

        def lasting(place: tuple | None, was: tuple | None) -> tuple | None:
            return back(was) if place and place != was and place[0] in self.dead else place

        def back(was: tuple | None) -> tuple | None:
            return (None, "in store", *was[2:]) if was and was[0] in self.dead else was

        def make_way(places: dict) -> dict:
            """Of what fell back to a place that another has, each goes into store."""
            for key in [k for k in places if k in fallen]:
                others = [p[0] for k, p in places.items() if k != key and p and p[1] != "scrapped"]
                if places[key] and places[key][0] in others and places[key][0] is not None:
                    places[key] = (None, "in store", *place[key][0][2:])
            return places

        place, moved, chosen, fallen = {}, {}, {}, set()
        for key in rows:
            was = where(self.base["rows"][table], key)
            raw = [where(self.now[s.who][table], key) for s in self.sides]
            both = [lasting(one, was) for one in raw]
            fallen |= {key} if raw != both else set()
            place[key] = (was, *both)
            moved[key] = [p is not None and p != was for p in both]
        for group in self._groups(place):
            torn = [k for k in group if all(moved[k]) and place[k][1] != place[k][2]]
            for key in group:
                was, mine, its = place[key]
                chosen[key] = mine if moved[key][0] else its if moved[key][1] else was
            calm = make_way({k: v for k, v in chosen.items() if k in group and k not in torn})
            chosen |= calm
            if not torn and not self._clash(calm):
                continue
            names = tuple(sorted(k for k in group if any(moved[k])))
            self.conflicts[table, names, "place"] += 1
            winner = [s.who for s in self.sides].index(self.wins("place"))
            for key in torn:
                chosen[key] = place[key][1 + winner]
            while clash := self._clash({k: chosen[k] for k in group}):
                key = next(
                    k
                    for k in clash
                    if moved[k][1 - winner] and chosen[k] == place[k][2 - winner] and not moved[k][winner]
                )
                chosen[key] = back(place[key][0])
        make_way(chosen)
        for key, row in rows.items():
            values = chosen[key] or (None, "in store", *(None for _ in columns[2:]))
            row |= dict(zip(columns, values, strict=True))

    @staticmethod
    def _clash(chosen: dict) -> list[str]:
        at = defaultdict(list)
        for key, place in chosen.items():
            if place and place[0] is not None and place[1] != "scrapped":
                at[place[0]].append(key)
        return next((keys for keys in at.values() if len(keys) > 1), [])

    @staticmethod
    def _groups(place: dict) -> list[list[str]]:
        at, left, groups = defaultdict(set), dict.fromkeys(place), []
        for key, places in place.items():
            if places[1] == places[0] == places[2]:
                continue
            for one in places:
                if one and one[0] is not None:
                    at[one[0]].add(key)
        for first in place:
            if first not in left:
                continue
            group, waiting = [], [first]
            while waiting:
                key = waiting.pop()
                if key in left:
                    del left[key]
                    group.append(key)
                    unmoved = place[key][1] == place[key][0] == place[key][2]
                    tags = () if unmoved else {p[0] for p in place[key] if p and p[0] is not None}
                    waiting += [k for tag in tags for k in at[tag]]
            groups.append(group)
        return groups


def _is_one(was: dict | None, row: dict | None) -> bool:
    """Whether a numbered row is still the same one: the number of one that went may be given to another."""
    names = ("tag", "done_on", "happened_on", "accepted_on", "assigned_on")
    return bool(was and row) and all(was.get(name) == row.get(name) for name in names)


# A trial.


def trial(base: Database, seed: int, tags: list[str], edits: int = 12) -> Counter:
    """Both work and both orders of bringing back are tried; what there was of it. AssertionError where anything is lost."""
    from register.rounds.merge import merge

    rng = random.Random(seed)
    was = held(base, {})
    tags = rng.sample(tags, 4)
    ann, bob = (Surveyor(who, copied(base), rng, rng.sample(tags, 3), rng.randint(1, edits)) for who in ("ann", "bob"))
    seen = rng.random()

    def wins(column: str) -> str:
        return "ann" if random.Random(f"{seed} {column} {seen}").random() < 0.5 else "bob"

    want, conflicts = expected(was, ann, bob, wins)
    ends = []
    for first, second in ((ann, bob), (bob, ann)):
        db = copied(base)
        done = merge(db, first.db, reason="back", author="desk")
        assert not done.conflicts, f"{seed}: a conflict with nobody: {done.conflicts}"
        told: dict = {}
        while True:
            done = merge(db, second.db, reason="back", author="desk", decide=lambda c, by=told: by.get(c.key))
            if not done.conflicts:
                break
            assert done.change_set is None and not {c.key for c in done.conflicts} & told.keys(), f"{seed}: asked twice"
            told |= {c.key: "theirs" if wins(c.column) == second.who else "ours" for c in done.conflicts}
        assert done.decided == len(told), f"{seed}: asked for nothing"
        _same_conflicts(seed, told, conflicts, (ann, bob))
        whole = db.conn.serialize()
        for copy in (first, second):
            again = merge(db, copy.db, reason="back", author="desk")
            assert again.change_set is None and not again.conflicts, f"{seed}: taken back twice, changed twice: {again}"
        assert db.conn.serialize() == whole, seed
        _history_kept(seed, db, (first, second), base)
        ends.append(content(held(db, {})))
        assert not db.execute("PRAGMA foreign_key_check").fetchall()
    assert ends[0] == ends[1], f"{seed}: the order matters: {_unlike(*ends)}"
    made = content(_called(want))
    assert ends[0] == made, f"{seed}: {_unlike(ends[0], made)}"
    return Counter({"edits": ann.done + bob.done, "conflicts": conflicts.total(), "trials": 1})


def _called(want: dict) -> dict:
    """The same under the names that motors and devices have at the end."""
    rows, now = {}, {}
    for table in ("motor", "device"):
        now |= {(table, key): row["called"] for key, row in want["rows"][table].items()}

    def called(table: str, key: str) -> str:
        device, mark, day = key.rpartition(" | ") if table == "setting" else ("", "", "")
        return now.get(("device", device), device) + mark + day if mark else now.get((table, key), key)

    for table, some in want["rows"].items():
        rows[table] = {}
        for key, row in some.items():
            row = {n: now.get((n, v), v) if n in ("motor", "device") else v for n, v in row.items()}
            rows[table][called(table, key)] = row
    return {"rows": rows, "blanks": {(t, called(t, k), c): why for (t, k, c), why in want["blanks"].items()}}


def _same_conflicts(seed: int, found, want: Counter, sides) -> None:
    first = {(t, now): was for s in sides for (t, was), now in s.names.items()}
    told = Counter()
    for table, row, column in found:
        rows = row.split(", ") if column == "place" else [row]
        if table == "setting":
            device, _, day = row.rpartition(" | ")
            rows = [f"{first.get(('device', device), device)} | {day}"]
        told[table, tuple(sorted(first.get((table, r), r) for r in rows)), column] += 1
    assert told == want, f"{seed}: conflicts shown and not there {told - want}, there and not shown {want - told}"


def _history_kept(seed: int, db: Database, sides, base: Database) -> None:
    """Every change of both is in the history with its who and why, or is noted as the same or as not taken."""
    last = base.execute("SELECT max(change_id) FROM change").fetchone()[0]
    sql = "SELECT count(DISTINCT origin) FROM change JOIN change_set USING (change_set) WHERE author = ? AND change_id > ?"
    for side in sides:
        own = "SELECT count(*) FROM change JOIN change_set USING (change_set) WHERE author = ? AND change_id > ?"
        made = side.db.execute(own, [side.who, last]).fetchone()[0]
        follow = made - db.execute(sql, [side.who, last]).fetchone()[0]
        renamed = (
            len(side.names)
            or side.db.execute(
                "SELECT count(*) FROM change WHERE table_name = 'blank' AND action = 'update'"
            ).fetchone()[0]
        )
        assert follow == 0 or (follow > 0 and renamed), f"{seed}: {follow} changes of {side.who} are not in the history"


def _unlike(one: dict, other: dict) -> str:
    told = []
    for table in one:
        first, second = (
            sorted((x - y).elements(), key=repr) for x, y in ((one[table], other[table]), (other[table], one[table]))
        )
        for row, like in zip(first[:3], second[:3], strict=False):
            told.append(f"{table} {sorted(set(row) - set(like), key=repr)} / {sorted(set(like) - set(row), key=repr)}")
        if len(first) != len(second):
            told.append(f"{table}: only first {first[:3]}, only second {second[:3]}")
    return "; ".join(told)[:3000]
