"""What the tests of refusals share: a list, a workbook, and what a refusal has to say."""

import xlsxwriter

LIST = "Tag,HP,FLA\nP-1,50,65\nP-3,20,27\n"


def refused(ran, code, place, cause, remedy):
    """Assert that a command refused, said all three, and ended with that code."""
    assert "Traceback" not in ran.out + ran.err
    assert ran.code == code, ran.out + ran.err
    first, *more = ran.err.splitlines()
    assert place in first, ran.err
    assert cause in ran.err
    assert remedy in "\n".join(more), ran.err


def book(path, rows):
    """A workbook of one sheet."""
    with xlsxwriter.Workbook(str(path)) as made:
        page = made.add_worksheet("MCC-1")
        for line, row in enumerate(rows):
            page.write_row(line, 0, row)
    return path
