"""An example or two of each command, on the demo plant; a test runs them all, in this order.

The demo is made first (`startroll demo`), and `STARTROLL_REGISTER` names its register, demo/demo.db.
"""

from __future__ import annotations

DAY = "--today 2026-11-25"
EXAMPLES: dict[str, tuple[str, ...]] = {
    "demo": ("demo", "demo elsewhere"),
    "new": ('new works.db --site "Our Works" --practice us --frequency 60',),
    "take-in": ("take-in motors.xlsx --register works.db --dry-run --save-mapping motors.yml",),
    "positions": ("positions --bus MCC-21", 'positions --area "Pulp house"'),
    "show": ("show P-2117", "show P-2117 --all"),
    "history": ("history P-2117",),
    "audit": (f"audit {DAY}", f"audit --grade major {DAY}"),
    "explain": (f"explain P-2117 settings/limit-enough-to-start {DAY}", f"explain P-2117 {DAY}"),
    "report": (f"report --html report.html --xlsx report.xlsx {DAY}",),
    "to-collect": (
        f'to-collect --area "Pulp house" {DAY}',
        f"to-collect --where \"device_kind = 'drive'\" --top 10 {DAY}",
    ),
    "answer": (
        f"answer --propose {DAY}",
        f"answer inching no --where \"device_kind = 'across-the-line'\" --dry-run {DAY}",
        f"answer inching=no speed_need=fixed --where \"device_kind = 'across-the-line'\""
        f" --except C-1108:inching=yes --except A-1142 --dry-run {DAY}",
        f"answer inching no --where \"load_kind = 'centrifugal fan' AND area = 'Woodyard'\""
        f' --reason "walk of 24 November" --by rk {DAY}',
    ),
    "round": (f"round --bus MCC-31 --to round.html --to round.xlsx {DAY}",),
    "labels": ('labels --area "Pulp house" --to labels.html',),
    "plate": (
        "plate IMG-0412.jpg --at P-2117",
        'plate IMG-0412.jpg --at P-2117 --accept fla_a --accept speed_rpm=1465 --reason "plate read"',
    ),
    "starts": ("starts --bus MCC-21",),
    "study": ("study F-2135", "study P-2117 --try current_limit_xfla=2.6"),
    "window": ("window P-2117 --picture window.svg",),
    "restart": ("restart MCC-21",),
    "tonight": (f"tonight F-4118 {DAY}",),
    "candidates": (f"candidates A-3109 {DAY}", f"candidates --failed {DAY}"),
    "sheet": (f"sheet A-2106 --html sheet.html {DAY}",),
    "checklist": ("checklist A-2106",),
    "least-change": (f"least-change P-2117 {DAY}",),
    "correct": (
        'correct P-2117 current_limit_xfla 2.6 --reason "set at the panel, started twice"',
        'correct A-1142 power_factor --blank illegible --reason "plate painted over"',
    ),
    "undo": ('undo 2 --reason "read at the wrong starter"',),
    "retire": ('retire C-1102 --reason "conveyor taken down"',),
    "bring-back": ('bring-back C-1102 --reason "conveyor stays after all"',),
    "remove": ('remove C-1120 --reason "typed twice"',),
    "record": ('record A-2106 "bump test" passed --on 2026-11-20 --by rk',),
    "swap": (
        'swap A-3109 --out failed --cause "burnt out" --in S29334500 --on 2026-11-24 --by rk --dry-run ' + DAY,
        'swap A-3109 --out failed --cause "burnt out" --in S29334500 --on 2026-11-24 --by rk ' + DAY,
    ),
    "move": ('move device S44329176 --status scrapped --reason "dropped in the store"',),
    "curve": ('curve P-2117 torque.csv --reason "the maker\'s sheet"',),
    "measured": ("measured F-2132 recorded.csv --on 2026-10-02",),
    "due": (f"due --until 2027-06 {DAY}", f"due --bus MCC-21 --until 2027-03 --ics due.ics --to due.xlsx {DAY}"),
    "crew-page": (
        f'crew-page --bus MCC-21 --to crew.html --crew "R. K., A. M." --top 12 {DAY}',
        f"crew-page --bus MCC-31 --needs running --to looks.html {DAY}",
    ),
    "conditions": (f"conditions --bus MCC-21 {DAY}",),
    "intervals": ("intervals",),
    "year": (f"year {DAY}",),
    "back-test": ("back-test --today 2027-11-25",),
    "concede ask": (
        "concede ask P-4128 sizing/hazardous-area-judged-elsewhere --until 2027-03-01"
        f' --reason "inspection is ordered" --by rk {DAY}',
    ),
    "concede approve": (f'concede approve 1 --reason "seen on the walk of 24 November" --by anna {DAY}',),
    "concede refuse": (f'concede refuse 2 --reason "it can be corrected this week" --by anna {DAY}',),
    "concede withdraw": (f'concede withdraw 1 --reason "inspected since" --by anna {DAY}',),
    "concede list": (f"concede list {DAY}",),
    "actions assign": (f"actions assign P-2131 control/emergency-stop-hardwired --to rk --due 2026-12-18 {DAY}",),
    "actions close": (f'actions close 1 --record "safety checks" --by rk {DAY}',),
    "actions list": (f"actions list {DAY}",),
    "audits": ("audits", "audits 1"),
    "compare": ("compare 1 2",),
    "key": ("key site.key",),
    "review": (f"review --pack 2026.zip {DAY}", f"review --pack signed.zip --sign site.key {DAY}"),
    "verify": ("verify 2026.zip", "verify signed.zip --key site.key.pub", "verify demo/demo.db"),
    "spares": (f"spares {DAY}",),
    "plan": (f"plan --years 5 --budget 40000 --outages 6 {DAY}",),
    "fleet": (f"fleet demo --to fleet.html --xlsx fleet.xlsx --parquet fleet-tables {DAY}",),
    "rules list": ("rules list",),
    "rules show": ("rules show overload/set-within-nameplate",),
    "rules check": ("rules check site-rules",),
    "rules prove": ("rules prove --only examples",),
    "rules try": (f"rules try site-rules/ours/spare-fuse.yml {DAY}",),
    "rules compare": ("rules compare older-rules",),
    "rules pages": ("rules pages rule-pages",),
    "repair": ("repair demo/demo.db",),
    "backup": ("backup demo-copy.db",),
    "merge": ("merge demo-copy.db --dry-run", "merge demo-copy.db --left conflicts.xlsx"),
    "take-round": ("take-round round.json --dry-run", "take-round round.json --left left.xlsx --by rk"),
    "export": ("export demo.xlsx",),
}
