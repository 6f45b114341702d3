"""What the tests of the pages to fill in share: text that means harm, the answers as they are, the file that Save hands out."""

HOSTILE = [
    '</script><script>document.title="hurt"</script>', "<img src=x onerror=\"document.title='hurt'\">", "=1+1",
    "\u202egnirts\u2066", "${1+1}{{7*7}}", "'\"`&amp;", "a\u2028b\u0000c", "]]><!--", "Ω ⓃⒺⓂⒶ 三相 ض", "\\u003cb>",
]  # fmt: skip
NOW = "JSON.stringify(cells.map(recordOf).filter(Boolean))"


def saved_file(browser):
    """The file that Save hands out, when it is whole."""
    for path in browser.downloads.glob("*.json"):
        path.unlink()
    browser.run("document.getElementById('save').click(); 0")
    for _ in range(500):
        found = list(browser.downloads.glob("*.json"))
        if found and found[0].read_bytes().endswith(b"}\n"):
            return found[0]
        browser.run("new Promise(r => setTimeout(r, 10))")
    raise AssertionError("no file was handed out")
