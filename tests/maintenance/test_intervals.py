"""The table of intervals: what is shipped says where it was seen, a site's rows go over it, what is wrong is told."""

import pytest

from register.errors import RuleError
from register.maintenance.intervals import FILE, HEADINGS, intervals
from register.rulebook.load.pack import load_pack

HEAD = ",".join(HEADINGS)
CLEANING = "cleaning,starting device,panel open,machine,24,12,6,our strategy of 2026,,"


def _site(tmp_path, *rows):
    (tmp_path / FILE.parent).mkdir()
    (tmp_path / FILE).write_text("\n".join((HEAD, *rows)) + "\n", encoding="utf-8")
    return tmp_path


def test_what_is_shipped_is_cited_and_the_rest_is_blank():
    for row in intervals():
        assert bool(row.source and row.seen) == any(row.months), row
    table = {row.task: row for row in intervals() if row.about not in ("lineup", "main breaker")}
    # Public notes on NFPA 70B-2023 (a service company's, tuvsud.com): every 12 months, every 6 in condition 3.
    assert table["thermography"].months == (12, 12, 6)
    # powerhawke.com on NFPA 70B-2013, table L.1: motor control equipment, connections every 2 years.
    assert table["connections verified"].months == (24, 24, None)
    assert not any(table["insulation test"].months)
    # The same page: switchgear assemblies, insulation every 2 years; low-voltage air circuit breakers, electrical, 3 years.
    lineup = {row.task: row.months for row in intervals() if row.about in ("lineup", "main breaker")}
    assert lineup["insulation test"] == (24, 24, None) and lineup["breaker test"] == (36, 36, None)


def test_a_row_of_the_site_replaces_the_row_of_its_task(tmp_path):
    before, after = intervals(), intervals(_site(tmp_path, CLEANING))
    assert [r.task for r in after] == [r.task for r in before]
    changed = [r for r, was in zip(after, before, strict=True) if r != was]
    assert [(r.task, r.months, r.layer) for r in changed] == [("cleaning", (24, 12, 6), "site")]
    load_pack(site_folder=tmp_path)  # a folder with nothing but the table is a site's folder too


@pytest.mark.parametrize(
    ("row", "told"),
    [
        (CLEANING.replace("24,12,6", "6,12,24"), "a worse condition has a longer interval"),
        (CLEANING.replace("24,", "two years,"), "'two years' is not a number of months"),
        (CLEANING.replace("24,", "0,"), "'0' is not a number of months"),
        (CLEANING.replace("cleaning,", "polishing,"), "task: 'polishing' is none that is known"),
        (CLEANING.replace("panel open", "door ajar"), "needs: 'door ajar'"),
        (CLEANING.replace("our strategy of 2026", ""), "an interval without its source"),
        (CLEANING.replace("2026,,", "2026,hearsay,"), "'hearsay' is no way of seeing a source"),
        (CLEANING + ",", "11 cells under 10 headings"),
        (f"{CLEANING}\n{CLEANING}", "stands here twice, first on line 2"),
    ],
)
def test_what_is_wrong_is_told_with_file_and_line(tmp_path, row, told):
    with pytest.raises(RuleError) as error:
        intervals(_site(tmp_path, row))
    assert told in str(error.value) and f"{FILE}:" in str(error.value)


def test_all_that_is_wrong_is_told_at_once(tmp_path):
    with pytest.raises(RuleError) as error:
        intervals(_site(tmp_path, CLEANING.replace("24", "x"), "cleaning,door,shut,nobody,,,,,,"))
    assert len(error.value.problems) == 4


def test_a_table_of_almost_that_name_is_not_left_out_in_silence(tmp_path):
    folder = _site(tmp_path, CLEANING)
    (folder / FILE).rename(folder / FILE.parent / "maintenance-interval.csv")
    with pytest.raises(RuleError, match=r"this table is not read"):
        intervals(folder)
