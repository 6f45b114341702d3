"""Nothing that a person reads has a word of our own where the trade has one: docs/glossary.md has the trade's."""

import ast
import re
from pathlib import Path

import typer

from register.cli.app import app
from register.columns import renamed

ROOT = Path(__file__).parent.parent
PACKAGE = ROOT / "register"

# Our own word, as a pattern: the trade's.
INSTEAD = {
    r"(?<!other )(?<!wrong )ways? round\b": "bypass, failover bypass",
    r"\bstand-ins?\b|\bstands? in for\b|\bstanding in for\b": "assumed value, assumed",
    r"\brests? on\b|\bresting on\b": "assumes, is based on",
    r"\bcan(?:['’]t|not) be told\b": "unknown, cannot be judged yet",
    r"\bto-read\b|\bto be read\b": "data to collect",
    r"\bborne\b": "accepted until",
    r"\bbears?\b": "withstands; has",
    r"\bmend(?:s|ed|ing)?\b": "corrective action, correct",
    r"\bstands there\b|\bstands at (?:a|the|one|another|its) position": "installed, installed at",
    r"\bow(?:ed|es)\b": "outstanding, to be repeated",
    r"\bforces\b": "other changes needed",
    r"\bweighs as much\b|\bweighed h(?:ours)?\b": "is equivalent to; weighted hours",
    r"\btorque left\b": "torque margin",
    r"\bdips the bus\b": "voltage dip",
    r"\bmade for\b": "rated for",
    r"\bleave to (?:work|energise|put)\b": "permit to work; authorises energising",
    r"\bno single number\b|\bis no day\b|\bis no unit\b": "not a number, a date, a unit",
    r"\bthat are no motors\b": "non-motor loads",
    r"\bmarch(?:ed|es|ing)?\b|\blaw of (?:a|the) ramp\b": "ramp; simulate, integrate",
    r"\bwares?\b": "catalogue item, candidate",
    r"\bdials?\b": "setting, adjustable setting",
    r"\bsayings?\b": "narrative, wording",
    r"\blaid (?:over|into|on)\b": "merged; a layer of limits",
    r"\bfirst legs?\b": "first stage of a start",
    r"\bpump stop\b": "ramp for pumps",
}
WORDS = re.compile("|".join(f"(?:{pattern})" for pattern in INSTEAD), re.IGNORECASE)

# File, words that may stay there, why.
EXCEPT = (
    ("CHANGELOG.md", r"^\| .*", "the table of changed names has the old ones"),
    ("register/intake/vocabulary.py", r"ramp for pumps: pump stop", "a list may still say so"),
    ("register/columns/practice.py", r"way round|ol dial", "a list's heading may say so"),
    ("register/columns/languages/en.py", r"\bdial\b", "a list's heading may say so"),
    ("register/columns/renamed.py", r".*", "the old names themselves"),
)


def _found(text: str, name: str) -> list[str]:
    """The places of a text with a word of our own; what stands in backticks or braces is a name, and no word."""
    lines = []
    for number, line in enumerate(text.splitlines(), 1):
        for path, allowed, _ in EXCEPT:
            if path == name:
                line = re.sub(allowed, "", line)
        prose = re.sub(r"`[^`]*`|\{[^{}]*\}", "", line)
        prose = re.sub(r"^\s*\w+(?:, \w+)* : ", "", prose)
        lines += [f"{name}:{number}: {found[0]!r} in {line.strip()[:90]}" for found in WORDS.finditer(prose)]
    return lines


def _strings(path: Path) -> list[str]:
    """Every string literal and docstring that is more than a name or SQL."""
    made = []
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        text = node.value if isinstance(node, ast.Constant) and isinstance(node.value, str) else ""
        if not re.fullmatch(r"\w*|.*\b(?:SELECT|VIEW|TABLE)\b.*", text, re.DOTALL):
            made.append(text)
    return made


MODULES = sorted(PACKAGE.rglob("*.py"))
PAGES = sorted(
    path
    for folder, pattern in ((".", "*.md"), ("docs", "**/*.md"), ("samples", "*.md"), ("register/reports/page", "*.j*"))
    for path in (ROOT / folder).glob(pattern)
)
RULES = sorted((ROOT / "rules").rglob("*.yml"))


def _name(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def test_strings_and_docstrings_have_the_trades_words():
    assert [fault for path in MODULES for text in _strings(path) for fault in _found(text, _name(path))] == []


def test_pages_have_the_trades_words():
    assert [fault for path in PAGES for fault in _found(path.read_text(encoding="utf-8"), _name(path))] == []


def test_rules_have_the_trades_words():
    assert [fault for path in RULES for fault in _found(path.read_text(encoding="utf-8"), _name(path))] == []
    assert [fault for path in RULES for fault in _found(_name(path).replace("-", " "), _name(path))] == []


def test_help_has_the_trades_words():
    pending, texts = [typer.main.get_command(app)], []
    while pending:
        command = pending.pop()
        pending += getattr(command, "commands", {}).values()
        texts += [command.name, command.help or "", *(getattr(p, "help", None) or "" for p in command.params)]
    assert len(texts) > 100
    assert [fault for text in texts for fault in _found(text or "", "help")] == []


def test_a_word_of_our_own_is_found():
    samples = "It bears it; the way round; what stands there; 0.5 weighed h; made for 460 V; pump stop; can't be told"
    assert len(_found(samples, "sample")) == 7
    assert not _found("a bearing; the other way round; `owed`; {owed}; prove dead", "sample")


def test_every_exception_is_needed():
    for name, allowed, _ in EXCEPT:
        text = (ROOT / name).read_text(encoding="utf-8")
        assert any(WORDS.search(found[0]) for found in re.finditer(allowed, text, re.MULTILINE)), name


def test_what_was_renamed_has_a_rule_now():
    for old, new in renamed.RULES.items():
        assert not (ROOT / "rules" / f"{old}.yml").exists()
        assert (ROOT / "rules" / f"{new}.yml").exists()
