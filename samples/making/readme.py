"""samples/README.md: what each sample is, and the faults seeded in it."""

from __future__ import annotations

from making.asfound import TWICE, Refusal

TOP = """\
# Samples

Two plants of our own invention. Nothing in them is anybody's: plants, makers, catalogue numbers,
serials and initials are made up; the nameplates follow the published tables (NFPA 70, NEMA MG 1,
MG 10, IEC 60034), so that they can be believed.

| folder | what it is |
|---|---|
| `demo-plant/` | Ombrecliff Board Mill, US practice, 480 V 60 Hz: 180 positions on 5 lineups |
| `small-plant/` | Kvernhalla Stone Works, IEC practice, 400 V 50 Hz: 25 positions on 2 boards |

In each folder, one CSV file for each table of the register: headings are the dictionary's column
names, numbers are in its units, a blank is not known. About one entered cell in six is blank, as in
a real survey. `seeded.csv` lists the faults: audited on **2026-11-25**, each pair of position (or
lineup, or device in store) and rule there is *failed*, and no other is. A fault that cannot but
fail a second rule is listed under each.

`demo-plant/as-found.xlsx` is the same plant's list as somebody kept it for years, and
`demo-plant/as-found.yml` the saved answers to the questions that the list raises. Taken in with
them it gives the register of the CSV files, but for these cells, which cannot be taken in as they
stand:

| sheet | position | column | what is written there |
|---|---|---|---|
{refusals}

and for {twice[1]}, which stands twice in sheet {twice[0]}: the second row is refused.

All of this is written by `python samples/make.py` from a fixed seed; edit `samples/making/` and
run it again. To look at a sample:

```sh
startroll new demo.db --site "Ombrecliff Board Mill" --practice us --frequency 60
export STARTROLL_REGISTER=demo.db
startroll take-in samples/demo-plant/{{site,bus,position,motor,model,device}}.csv \\
    samples/demo-plant/{{setting,protection,bypass,control,record,event}}.csv
startroll audit --today 2026-11-25
```
"""


def readme(seeded: dict[str, list[tuple[str, str, str]]], refusals: list[Refusal]) -> str:
    """The whole page; `seeded` faults by folder, `refusals` of the list as found."""
    cells = [f"| {r.sheet} | {r.tag} | {r.column} | {r.typed} |" for r in refusals]
    parts = [TOP.format(refusals="\n".join(cells), twice=TWICE)]
    for folder, rows in seeded.items():
        parts.append(f"\n## Faults seeded in `{folder}`\n\n| position | rule | what is wrong |")
        parts.append("|---|---|---|")
        parts += [f"| {tag} | {rule} | {note} |" for tag, rule, note in rows]
    return "\n".join(parts) + "\n"
