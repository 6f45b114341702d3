"""Plan and apply: what lands, where it came from, what is refused, what never is overwritten."""

from datetime import date

import pytest

from register.errors import IntakeError, SheetError
from register.intake import mapping as mappings
from register.intake.homeless import only_checks
from register.intake.mapping import Answer, Mapping, SheetAnswers
from register.intake.sheet import read
from register.intake.take_in import apply, plan_intake, take_in
from register.store.database import opened
from register.store.origins import of_rows

pytest_plugins = ["intake_plant"]

WIDE = [
    ["OLDMARROW WORKS", "", "", ""],
    [],
    ["Tag", "Service", "MCC", "HP", "Volts", "FLA", "Starter", "Serial", "Breaker", "Remarks"],
    ["P-1", "Feed pump", "MCC-1", 50, "460V", 62, "RVSS", "", 100, "leaks"],
    ["P-2", "Sump pump", "MCC-1", "1 1/2 hp", 460, "2.8 A", "DOL", "M77", 15, ""],
    [],
    ["TOTAL", "", "", 51.5],
]


def answers(**headings):
    return Mapping({"*": SheetAnswers({h: Answer(**a) for h, a in headings.items()})})


def test_one_wide_sheet_fills_several_tables(plant):
    plan = plant.take(plant.book("list.xlsx", MCC=WIDE))
    assert plan.problems() == []
    assert plan.skipped == {"blank": 1, "total": 1}
    assert plant.value("motor", "M77", "power_kw") == pytest.approx(1.11855)
    assert plant.value("motor", "unmarked motor at P-1", "tag") == "P-1"
    assert plant.value("device", "unmarked device at P-1", "model") == "unidentified model at P-1"
    assert plant.value("model", "unidentified model at P-1", "device_kind") == "soft starter"
    assert plant.value("position", "P-2", "bus") == "MCC-1"
    assert plant.value("protection", "P-2", "protection_rating_a") == 15
    assert plant.value("position", "P-1", "position_notes") == "leaks"


def test_planning_writes_nothing(plant):
    before = plant.path.read_bytes()
    plant.plan(plant.book("list.xlsx", MCC=WIDE))
    assert plant.path.read_bytes() == before


def test_every_value_knows_its_cell_and_how_it_was_typed(plant):
    plant.take(plant.book("list.xlsx", MCC=WIDE))
    with opened(plant.path) as db:
        cells = of_rows(db, "motor", ["M77"])["M77"][0]
    assert cells["power_kw"] == "list.xlsx 'MCC'!D5, there '1 1/2 hp'"
    assert cells["fla_a"] == "list.xlsx 'MCC'!F5, there '2.8 A'"
    assert cells["motor_voltage_v"] == "list.xlsx 'MCC'!E5"
    found = plant.rows("SELECT * FROM found WHERE row_key = 'M77' AND column_name = 'power_kw'")
    assert (found[0]["found_text"], found[0]["source_cell"]) == ("1 1/2 hp", "MCC!D5")


def test_an_edited_value_no_longer_claims_its_cell(plant):
    plant.take(plant.book("list.xlsx", MCC=WIDE))
    with opened(plant.path, write=True) as db:
        db.conn.execute("UPDATE motor SET fla_a = 61 WHERE motor = 'M77'")
    with opened(plant.path) as db:
        origins = of_rows(db, "motor", ["M77"])["M77"][0]
    assert origins["power_kw"].startswith("list.xlsx")
    assert origins["fla_a"].startswith("entered by another program on ")


def test_the_same_list_again_changes_nothing(plant):
    path = plant.book("list.xlsx", MCC=WIDE)
    plant.take(path)
    again = plant.plan(path)
    assert not again.changed
    assert not any(again.added.values())


def test_a_blank_cell_never_erases_and_a_change_shows_old_and_new(plant):
    head = ["Tag", "HP", "FLA", "RPM"]
    plant.take(plant.csv("one.csv", [head, ["P-1", "50", "62", "1775"]]))
    plan = plant.take(plant.csv("two.csv", [head, ["P-1", "", "61", "?"]]))
    (change,) = plan.changed
    assert (change.column, change.before, change.after) == ("fla_a", 62, 61)
    assert change.place == "two.csv C2"
    assert plant.value("motor", "unmarked motor at P-1", "speed_rpm") == 1775
    assert plant.rows("SELECT * FROM blank") == []


def test_a_reason_for_a_blank_is_kept_until_the_value_is_there(plant):
    head = ["Tag", "HP", "FLA", "RPM"]
    plant.take(plant.csv("one.csv", [head, ["P-1", "50", "illegible", "1775"]]))
    (row,) = plant.rows("SELECT * FROM blank")
    assert (row["row_key"], row["column_name"], row["reason"]) == ("unmarked motor at P-1", "fla_a", "illegible")
    plant.take(plant.csv("two.csv", [head, ["P-1", "50", "62", "1775"]]))
    assert plant.rows("SELECT * FROM blank") == []


def test_a_serial_learnt_later_renames_the_stand_in_and_keeps_its_history(plant):
    plant.take(plant.csv("one.csv", [["Tag", "HP", "FLA"], ["P-1", "50", "?"]]))
    plan = plant.take(plant.csv("two.csv", [["Tag", "Serial", "HP", "RPM"], ["P-1", "M9", "50", "1775"]]))
    assert plan.renamed == (("motor", "unmarked motor at P-1", "M9"),)
    assert [r["motor"] for r in plant.rows("SELECT motor FROM motor")] == ["M9"]
    assert plant.rows("SELECT row_key FROM blank") == [{"row_key": "M9"}]
    with opened(plant.path) as db:
        assert of_rows(db, "motor", ["M9"])["M9"][0]["speed_rpm"] == "two.csv D2"


def test_a_catalogue_number_learnt_later_renames_the_unidentified_model(plant):
    plant.take(plant.csv("one.csv", [["Tag", "HP", "Starter"], ["P-1", "50", "RVSS"]]))
    plant.take(plant.csv("two.csv", [["Tag", "Starter S/N", "Cat No"], ["P-1", "D5", "ZQ-065"]]))
    assert plant.rows("SELECT device, model, tag FROM device") == [{"device": "D5", "model": "ZQ-065", "tag": "P-1"}]
    assert plant.rows("SELECT model, device_kind FROM model") == [{"model": "ZQ-065", "device_kind": "soft starter"}]


def test_two_sheets_of_one_intake_meet_in_one_motor(plant):
    plan = plant.take(
        plant.book(
            "book.xlsx",
            list=[["Tag", "Service", "HP", "FLA"], ["P-1", "Pump", 50, 62]],
            plates=[["Tag", "Motor S/N", "RPM", "Design", "HP"], ["P-1", "M9", 1775, "B", 60]],
        )
    )
    assert [r["motor"] for r in plant.rows("SELECT motor FROM motor")] == ["M9"]
    (refused,) = plan.refused
    assert refused.column == "power_kw"
    assert refused.place == "book.xlsx plates!E2"


def test_a_doubled_tag_is_refused_with_both_cells_unless_it_is_the_same_row(plant):
    head = ["Tag", "Service", "HP"]
    plan = plant.take(plant.csv("list.csv", [head, ["P-1", "Pump", "50"], ["P-1", "Pump", "50"], ["P-1", "Fan", "60"]]))
    (refused,) = plan.refused
    assert "A2" in refused.cause and "A4" in refused.cause
    assert plan.skipped == {"repeated row": 1}


def test_a_bad_cell_leaves_the_rest_of_its_row(plant):
    plan = plant.take(plant.csv("list.csv", [["Tag", "HP", "FLA", "RPM"], ["P-1", "50", "#REF!", "1775"]]))
    (refused,) = plan.refused
    assert (refused.place, refused.column) == ("list.csv C2", "fla_a")
    assert plant.value("motor", "unmarked motor at P-1", "speed_rpm") == 1775


def test_a_row_without_a_tag_is_refused_whole(plant):
    plan = plant.take(plant.csv("list.csv", [["Tag", "HP", "FLA"], ["", "50", "62"], ["P-2", "5", "7"]]))
    (refused,) = plan.refused
    assert refused.column == ""
    assert refused.place == "list.csv row 2"
    assert [r["tag"] for r in plant.rows("SELECT tag FROM position")] == ["P-2"]


def test_tags_that_differ_by_case_or_hyphens_alone_are_asked_about(plant):
    plant.take(plant.csv("one.csv", [["Tag", "HP", "FLA"], ["P-1", "50", "62"]]))
    plan = plant.take(plant.csv("two.csv", [["Tag", "HP", "FLA"], ["p1", "50", "62"]]))
    (doubt,) = plan.doubts
    assert "almost 'P-1'" in doubt.question and doubt.candidates == ("P-1", "p1")
    assert plan.refused == () and plan.cells["two.csv"] == {"asked": 3, "not a value": 3}
    assert len(plant.rows("SELECT * FROM motor")) == 1
    same = Mapping({"two": SheetAnswers(tags={"p1": "P-1"})})
    assert plant.plan(plant.folder / "two.csv", mapping=same).counts()["motor"]["unchanged"] == 1
    apart = Mapping({"two": SheetAnswers(tags={"p1": "p1"})})
    assert plant.take(plant.folder / "two.csv", mapping=apart).counts()["position"]["added"] == 1


def test_a_second_motor_at_a_position_is_refused_unless_the_list_says_where_the_first_went(plant):
    head = ["Serial", "Tag", "HP", "RPM", "Motor Status"]
    plant.take(plant.csv("one.csv", [head, ["M1", "P-1", "50", "1775", "in service"]]))
    plan = plant.take(plant.csv("two.csv", [head, ["M2", "P-1", "50", "1780", ""]]))
    (refused,) = plan.refused
    assert "'M1' is installed at P-1" in refused.cause
    both = [head, ["M1", "P-1", "50", "1775", "scrapped"], ["M2", "P-1", "50", "1780", ""]]
    assert plant.take(plant.csv("three.csv", both)).refused == ()
    assert plant.value("motor", "M2", "tag") == "P-1"


def test_two_motors_change_places(plant):
    head = ["Serial", "Tag", "HP", "RPM"]
    plant.take(plant.csv("one.csv", [head, ["M1", "P-1", "50", "1775"], ["M2", "P-2", "50", "1780"]]))
    plan = plant.take(plant.csv("two.csv", [head, ["M1", "P-2", "50", "1775"], ["M2", "P-1", "50", "1780"]]))
    assert plan.refused == ()
    assert plant.value("motor", "M1", "tag") == "P-2"
    assert plant.value("motor", "M2", "tag") == "P-1"


def test_a_nameplate_of_two_voltages_takes_what_fits_the_bus(plant):
    plan = plant.take(
        plant.book(
            "book.xlsx",
            list=[
                ["Tag", "MCC", "HP", "Volts", "FLA"],
                ["P-1", "MCC-A", 100, "230/460", "248/124"],
                ["P-2", "MCC-L", 10, "230/460", "28/14"],
                ["P-3", "MCC-X", 10, "230/460", "28/14"],
            ],
            lineups=[["MCC", "System Voltage", "XFMR kVA", "%Z"], ["MCC-A", 480, 1000, 5.75], ["MCC-L", 240, 500, 5]],
        )
    )
    assert plant.value("motor", "unmarked motor at P-1", "motor_voltage_v") == 460
    assert plant.value("motor", "unmarked motor at P-1", "fla_a") == 124
    assert plant.value("motor", "unmarked motor at P-2", "fla_a") == 28
    (doubt,) = plan.doubts
    assert (doubt.place, doubt.candidates) == ("book.xlsx list!D4", ("230", "460"))
    assert plan.refused == () and plan.cells["book.xlsx list"]["asked"] == 2


def test_hp_and_kw_side_by_side_agree_or_are_asked_about(plant):
    head = ["Tag", "HP", "kW", "FLA"]
    plan = plant.take(plant.csv("one.csv", [head, ["P-1", "50", "37.3", "62"], ["P-2", "", "11", "20"]]))
    assert plan.problems() == []
    assert plant.value("motor", "unmarked motor at P-2", "power_kw") == 11
    plan = plant.plan(plant.csv("two.csv", [head, ["P-3", "50", "50", "62"]]))
    assert "differ in 1 rows" in plan.doubts[0].question


def test_a_column_in_doubt_is_blocked_and_the_mapping_opens_it(plant):
    hp = [5, 7.5, 10, 15, 20, 25, 30, 40, 50]
    fla = [7.6, 11, 14, 21, 27, 34, 40, 52, 65]  # NFPA 70-2023, table 430.250, 460 V
    rows = [["Tag", "kW", "Volts", "FLA"]]
    rows += [[f"P-{i}", str(p), "460", str(a)] for i, (p, a) in enumerate(zip(hp, fla, strict=True))]
    path = plant.csv("list.csv", rows)
    (doubt,) = plant.plan(path).doubts
    assert doubt.heading == "kW"
    assert "horsepower" in doubt.question
    plan = plant.take(path, mapping=answers(kW={"column": "power_kw", "unit": "hp"}))
    assert plan.doubts == ()
    assert plant.value("motor", "unmarked motor at P-8", "power_kw") == pytest.approx(37.285)


def test_lines_alone_in_their_row_are_offered_as_the_bus(plant):
    rows = [["Tag", "HP", "FLA"], ["MCC-7", "", ""], ["P-1", "50", "62"], ["MCC-8", "", ""], ["P-2", "50", "62"]]
    path = plant.csv("list.csv", rows)
    (doubt,) = plant.plan(path).doubts
    assert doubt.answer == "sections: bus"
    plant.take(path, mapping=Mapping({"list": SheetAnswers(sections="bus")}))
    assert plant.value("position", "P-2", "bus") == "MCC-8"
    assert {r["tag"] for r in plant.rows("SELECT tag FROM position")} == {"P-1", "P-2"}


def test_what_a_sheet_of_checks_is_about_is_found_for_the_sheet_and_not_for_each_row(plant, monkeypatch):
    plant.take(plant.csv("list.csv", [["Tag", "HP", "Starter"], ["P-1", "50", "RVSS"]]))
    asked = []

    def counted(taken):
        asked.append(taken)
        return only_checks(taken)

    for place in ("homeless", "records", "merge_rows"):
        monkeypatch.setattr(f"register.intake.{place}.only_checks", counted)
    head = ["tag", "record_kind", "done_on", "result"]
    many = [["P-1", "bump test", f"2024-{n % 12 + 1:02}-{n % 28 + 1:02}", "passed"] for n in range(200)]
    times = []
    for name, rows in (("few.csv", many[:2]), ("many.csv", many)):
        asked.clear()
        plant.take(plant.csv(name, [head, *rows]))
        times.append(len(asked))
    assert times[0] == times[1] > 0
    assert len(plant.rows("SELECT * FROM record")) > 2


def test_records_settings_and_wide_checks(plant):
    plant.take(plant.csv("list.csv", [["Tag", "HP", "Starter"], ["P-1", "50", "RVSS"]]))
    plan = plant.take(
        plant.book(
            "book.xlsx",
            checks=[
                ["Tag", "Check", "Date Done", "By", "Outcome"],
                ["P-1", "Bump test", date(2024, 3, 1), "r.q.", "OK"],
                ["P-9", "Bump test", date(2024, 3, 1), "r.q.", "OK"],
                ["P-1", "Bump test", "", "r.q.", "OK"],
            ],
            settings=[
                ["Tag", "Settings Read On", "Ramp Time", "Current Limit"],
                ["P-1", date(2025, 1, 2), "10 s", "350%"],
            ],
            wide=[["Tag", "trip_test_on", "trip_test_result"], ["P-1", date(2025, 5, 6), "pass"]],
        )
    )
    assert {r["record_kind"] for r in plant.rows("SELECT * FROM record")} == {"bump test", "trip test"}
    (setting,) = plant.rows("SELECT * FROM setting")
    assert (setting["device"], setting["ramp_s"], setting["current_limit_xfla"]) == ("unmarked device at P-1", 10, 3.5)
    assert len(plan.refused) == 2
    assert plant.plan(plant.folder / "book.xlsx").counts()["record"]["added"] == 0


def test_settings_without_a_day_are_one_question(plant):
    plan = plant.plan(plant.csv("list.csv", [["Tag", "HP", "Ramp Time"], ["P-1", "50", "10"], ["P-2", "5", "8"]]))
    (doubt,) = plan.doubts
    assert "setting_recorded_on" in doubt.answer


def test_a_refused_sheet_is_corrected_and_taken_in(plant):
    rows = [["Old list"], [], ["Tag", "HP", "FLA"], ["P-1", "50", "sixty"], ["P-2", "5", "7"]]
    path, back = plant.book("list.xlsx", MCC=rows), plant.folder / "back.xlsx"
    take_in(plant.path, [path], refused=back, reason="test")
    (sheet,) = read(back)
    assert sheet.rows[0] == ["Tag", "HP", "FLA", "refused because"]
    assert "MCC!C4" in sheet.rows[1][3]
    sheet.rows[1][2] = 62.0
    with opened(plant.path, write=True) as db:
        plan = plan_intake(db, [sheet])
        assert plan.problems() == []
        apply(db, plan, reason="corrected")
    assert plant.value("motor", "unmarked motor at P-1", "fla_a") == 62


def test_a_doubled_row_stays_refused_until_it_is_corrected(plant):
    rows = [["Tag", "Service", "HP"], ["P-1", "Pump", 50], ["P-1", "see above?", 60]]
    path, back = plant.book("list.xlsx", MCC=rows), plant.folder / "back.xlsx"
    take_in(plant.path, [path], refused=back, reason="test")
    plan = plant.plan(back)
    assert len(plan.refused) == 1
    assert plan.changed == ()


def test_a_saved_mapping_keeps_what_was_answered(plant):
    path = plant.csv("list.csv", [["Tag", "Rating", "FLA"], ["MCC-7"], ["P-1", "50", "62"]])
    given = Mapping({"list": SheetAnswers({"Rating": Answer("power_kw", "hp")}, {"area": "North"}, 1, "bus")})
    saved = plant.folder / "list.yml"
    saved.write_text(plant.plan(path, mapping=given).mapping_draft, encoding="utf-8")
    kept = mappings.load(saved).of("list")
    assert (kept.sections, kept.header_row, kept.constants) == ("bus", 1, {"area": "North"})
    assert kept.headings["Rating"].unit == "hp"


def test_all_or_nothing(plant):
    path = plant.csv("list.csv", [["Tag", "HP", "FLA"], ["P-1", "50", "sixty"]])
    with pytest.raises(IntakeError, match="Nothing was taken in"):
        take_in(plant.path, [path], all_or_nothing=True, reason="test")
    assert plant.rows("SELECT * FROM position") == []
    assert plant.rows("SELECT * FROM change_set") == []


def test_a_plan_holds_only_for_the_register_it_was_made_on(plant):
    path = plant.csv("list.csv", [["Tag", "HP", "FLA"], ["P-1", "50", "62"]])
    with opened(plant.path, write=True) as db:
        plan = plan_intake(db, read(path))
        db.conn.execute("INSERT INTO bus (bus) VALUES ('MCC-9')")
        with pytest.raises(IntakeError, match="plan again"):
            apply(db, plan, reason="test")
        assert db.execute("SELECT count(*) FROM position").fetchone() == (0,)


def test_every_bad_file_is_named_at_once(plant):
    (plant.folder / "a.csv").write_bytes(b"")
    with pytest.raises(SheetError) as refused:
        take_in(plant.path, [plant.folder / "a.csv", plant.folder / "b.csv"], reason="x")
    assert len(refused.value.problems) == 2


def test_a_list_without_headings_is_refused(plant):
    with pytest.raises(SheetError, match="no row of headings"):
        plant.plan(plant.csv("list.csv", [["1", "2"], ["3", "4"]]))


def test_the_draft_of_a_mapping_answers_when_it_is_loaded(plant):
    path = plant.csv("list.csv", [["Tag", "Rating", "FLA"], ["P-1", "50", "62"]])
    plan = plant.plan(path)
    (doubt,) = plan.doubts
    assert doubt.candidates == ("hp", "kW")
    saved = plant.folder / "list.yml"
    lines = plan.mapping_draft.splitlines()
    kept = [x for x in lines if not x.strip().startswith("Rating")]
    saved.write_text("\n".join(kept).replace("#? ", ""), encoding="utf-8")
    plant.take(path, mapping=mappings.load(saved))
    assert plant.value("motor", "unmarked motor at P-1", "power_kw") == pytest.approx(37.285)


def test_of_very_many_wrong_names_a_hundred_are_guessed_at(tmp_path, monkeypatch):
    """A guess takes a thousandth of a second: 70,000 of them took minutes."""
    guessed = []
    monkeypatch.setattr(mappings, "nearest", lambda name: guessed.append(name))
    lines = (f"      Amps {number}: fla_amps{number}\n" for number in range(300))
    (tmp_path / "answers.yml").write_text('sheets:\n  "*":\n    headings:\n' + "".join(lines), encoding="utf-8")
    with pytest.raises(IntakeError) as caught:
        mappings.load(tmp_path / "answers.yml")
    assert len(caught.value.problems) == 300 and len(guessed) == 100


def test_a_mapping_shows_all_of_its_mistakes_at_once(plant):
    path = plant.folder / "bad.yml"
    path.write_text(
        "sheets:\n  A:\n    headings:\n      HP: powr_kw\n      HP: power_kw\n"
        "      Crit: {column: criticality, words: {A: vital}}\n    sections: buses\n    colour: red\n",
        encoding="utf-8",
    )
    with pytest.raises(IntakeError) as refused:
        mappings.load(path)
    causes = " ".join(p.cause for p in refused.value.problems)
    for words in ("'HP' stands twice", "'vital'", "'buses'", "'colour'"):
        assert words in causes
    path.write_text("sheets: [", encoding="utf-8")
    with pytest.raises(IntakeError, match="no sound YAML"):
        mappings.load(path)
