"""Questions answered one by one: the mapping that comes of it answers them the next time too."""

from register.intake.mapping import load
from register.intake.take_in import ask_all

pytest_plugins = ["intake_plant"]

ROWS = [
    ["Tag", "HP", "Starter", "Zyx", "Crit"],
    ["P-1", "50 hp", "RVSS", "red", "A"],
    ["P-2", "5 hp", "magic box", "blue", "B"],
    ["P-3", "5 hp", "DOL", "blue", "B"],
]


def test_replies_make_a_mapping_that_leaves_no_question(plant):
    path = plant.csv("list.csv", ROWS)
    asked = []

    def reply(doubt):
        asked.append(doubt.heading)
        if doubt.words:
            return doubt.worded(
                {text: {"A": "critical", "B": "ordinary"}.get(text, "drive") for text, _, _ in doubt.words}
            )
        return doubt.said(doubt.candidates[0])

    text, left = ask_all(plant.path, [path], None, reply)
    assert left == 0 and sorted(asked) == ["Crit", "Starter", "Zyx"]
    saved = plant.folder / "saved.yml"
    saved.write_text(text, encoding="utf-8")
    plan = plant.take(path, mapping=load(saved))
    assert plan.problems() == []
    assert plant.value("model", "unidentified model at P-2", "device_kind") == "drive"
    assert plant.value("position", "P-2", "criticality") == "ordinary"
    assert plant.value("position", "P-2", "position_notes") == "Zyx: blue [D3]"


def test_what_is_left_open_is_asked_once_and_stays_out(plant):
    path = plant.csv("list.csv", ROWS)
    asked = []
    text, left = ask_all(plant.path, [path], None, lambda doubt: asked.append(doubt.question))
    assert left == len(asked) == 3
    assert text.count("#? ") == 3
