"""Commands on starts: study one, its window of limits, the plant's, a bus that comes back."""

from __future__ import annotations

import os
from datetime import date
from pathlib import Path
from typing import Annotated

import typer

from register.cli.common import (
    DEFAULT_REGISTER,
    All,
    Area,
    AsJson,
    By,
    MeasuredOnly,
    Reason,
    RegisterPath,
    answer,
    author,
    console,
    say,
)
from register.cli.waiting import progress

Tag = Annotated[str, typer.Argument(help="Tag of the position.")]
Try = Annotated[
    list[str] | None,
    typer.Option(
        "--try", metavar="COLUMN=VALUE", help="Study it with this value, and do not save it; may be given again."
    ),
]
Picture = Annotated[Path | None, typer.Option(help="Draw the curves into this file too: .svg or .png.")]


def add_to(app: typer.Typer) -> None:
    """Add this family's commands."""
    app.command("study")(study)
    app.command("window")(window)
    app.command("starts")(starts)
    app.command("restart")(restart)
    app.command("curve")(curve)
    app.command("measured")(measured)


def study(
    tag: Tag,
    tries: Try = None,
    failover: Annotated[bool, typer.Option("--failover", help="On the bypass, not on the device.")] = False,
    measured_only: MeasuredOnly = False,
    picture: Picture = None,
    register: RegisterPath = DEFAULT_REGISTER,
    as_json: AsJson = False,
) -> None:
    """Study the start at one position: time, current, dip, heat, overload, what it means."""
    from register.reports import panels
    from register.reports.terminal import study as shown
    from register.starts import load_case, model
    from register.starts.study import study as run
    from register.store.database import opened

    _check(picture)
    changes, way = load_case.parted(tries or ()), model.FAILOVER if failover else model.OWN
    with opened(register) as db:
        made = run(db, tag, changes=changes, measured_only=measured_only, way=way)
    _draw(picture, panels.of_study(made, f"{date.today()}") if made.start else None)
    out = console()
    answer(made, as_json, lambda s: shown.study(s, out.width, fine=_fine(out)))


def window(
    tag: Tag,
    tries: Try = None,
    measured_only: MeasuredOnly = False,
    picture: Picture = None,
    show_all: All = False,
    register: RegisterPath = DEFAULT_REGISTER,
    as_json: AsJson = False,
) -> None:
    """Show which current limits take a motor to speed within every other bound."""
    from register.reports import window_panels
    from register.reports.terminal import study as shown
    from register.starts import load_case
    from register.starts.window import window as run
    from register.store.database import opened

    _check(picture)
    changes = load_case.parted(tries or ())
    with opened(register) as db:
        made = run(db, tag, changes=changes, measured_only=measured_only)
    _draw(picture, window_panels.of_window(made, f"{date.today()}") if made.steps else None)
    out = console()
    answer(made, as_json, lambda w: shown.window(w, out.width, fine=_fine(out), show_all=show_all))


def starts(
    area: Area = None,
    bus: Annotated[str | None, typer.Option(help="Only this bus or lineup.")] = None,
    measured_only: MeasuredOnly = False,
    show_all: All = False,
    register: RegisterPath = DEFAULT_REGISTER,
    as_json: AsJson = False,
) -> None:
    """Study the start at every position, or say which fields to read before it can be."""
    from register.reports.terminal import plant_starts
    from register.starts.plant_starts import starts as run
    from register.store.database import opened

    # What is worked out stays in the file where that may be written.
    with progress("Working out the facts") as told, opened(register, write=os.access(register, os.W_OK)) as db:
        found = run(db, area=area, bus=bus, measured_only=measured_only, progress=told)
    answer(found, as_json, lambda f: plant_starts.starts(f, most=None if show_all else 40))


def restart(
    bus: Annotated[str, typer.Argument(help="The bus or lineup that comes back.")],
    pause: Annotated[float, typer.Option(help="Seconds between a start's end and its successor.", min=0.0)] = 2.0,
    measured_only: MeasuredOnly = False,
    register: RegisterPath = DEFAULT_REGISTER,
    as_json: AsJson = False,
) -> None:
    """Show how deep the voltage of a bus dips when its motors restart at once, and a sequence that it withstands."""
    from register.reports.terminal import plant_starts
    from register.starts.bus_restart import restart as run
    from register.store.database import opened

    with opened(register) as db:
        made = run(db, bus, pause_s=pause, measured_only=measured_only)
    answer(made, as_json, plant_starts.restart)


def curve(
    tag: Tag,
    file: Annotated[Path, typer.Argument(help="CSV of points: speed_pct,torque_pct,current_xfla[,power_factor].")],
    reason: Reason,
    alike: Annotated[bool, typer.Option("--alike", help="Also every motor of this maker with the same plate.")] = False,
    by: By = None,
    register: RegisterPath = DEFAULT_REGISTER,
) -> None:
    """Enter the maker's curve of torque and current against speed of a motor, and use it."""
    from register.starts import enter_curve
    from register.store.database import opened, writing

    with opened(register, write=True) as db, writing(db, reason=reason, author=author(by), source_file=file.name):
        tags = enter_curve.curve(db, tag, file, alike=alike)
    say(f"{', '.join(tags)}: studied by the maker's curve from now on.")


def measured(
    tag: Tag,
    file: Annotated[Path, typer.Argument(help="CSV of points: time_s,current_a, from switching on.")],
    on: Annotated[str, typer.Option("--on", help="Day it was recorded, YYYY-MM-DD.")],
    by: By = None,
    register: RegisterPath = DEFAULT_REGISTER,
) -> None:
    """Enter a start that was recorded, to stand beside the study."""
    from register.reports.terminal.hint import command
    from register.starts import enter_curve
    from register.store.database import opened, writing

    reason = f"start recorded on {on}"
    with opened(register, write=True) as db, writing(db, reason=reason, author=author(by), source_file=file.name):
        seconds, amperes = enter_curve.start(db, tag, file, on=on)
    say(f"{tag}: up to speed in {seconds:.3g} s, highest {amperes:.4g} A. {command('study', tag)} compares them.")


def _fine(out) -> bool:
    """Whether the console has the dots of braille letters."""
    return out.encoding.lower().startswith("utf")


def _check(picture: Path | None) -> None:
    """Refuse a picture that could not be kept before anything is worked out."""
    from register.reports.picture import kind_of
    from register.store.output_file import refuse_taken

    if picture is not None:
        kind_of(picture)
        refuse_taken(picture)


def _draw(picture: Path | None, drawing) -> None:
    from register.reports.picture import drawn, kind_of
    from register.store.output_file import write_new

    if picture is not None and drawing is not None:
        write_new(picture, drawn(drawing, kind_of(picture)))
        say(f"{picture} holds the curves.", err=True)
