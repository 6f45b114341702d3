"""A label holds the tag, and nothing else; hostile text stays text."""

import re

import segno

from register.reports.round.labels import labels


def row(tag, **more):
    return {"tag": tag, "description": "", "bus": "", "area": "", **more}


def test_the_code_is_that_of_the_tag():
    """segno, the reference here, draws the code of ISO/IEC 18004; each label has its own tag's and no other's."""
    tags = ["P-3103", "K-3115", "Ω 三/1"]

    found = re.findall(r'class="qrline"[^>]* d="([^"]+)"', labels([row(t) for t in tags], "Works"))
    expected = [
        re.search(r'd="(M[^"]+)"', segno.make(t, error="m", boost_error=False, micro=False).svg_inline()) for t in tags
    ]
    assert len(found) == 3 and len(set(found)) == 3
    assert [path[1] for path in expected] == found


def test_hostile_text_stays_text():
    bad = '"><script>alert(1)</script>'
    text = labels([row(bad, description=bad, bus=bad, area=bad)], bad)
    assert "<script" not in text and text.count("&lt;script&gt;") >= 3
