"""Tables as text for spreadsheets: what a reader of the format gets back, and nothing that runs."""

from __future__ import annotations

import csv
import io

from hypothesis import given
from hypothesis import strategies as st

from app.table_text import csv_text, tsv

CELLS = st.text(st.characters(exclude_categories=("Cs", "Cc")), max_size=12)


@given(st.lists(st.lists(CELLS, min_size=2, max_size=4), min_size=1, max_size=4))
def test_that_a_reader_of_comma_separated_values_gets_every_cell_back(rows: list[list[str]]) -> None:
    back = list(csv.reader(io.StringIO(csv_text(rows), newline="")))
    plain = [[cell.removeprefix("'") for cell in row] for row in back]
    assert plain == [[cell.removeprefix("'") for cell in row] for row in rows]


def test_that_a_name_which_a_spreadsheet_would_run_is_kept_as_text() -> None:
    assert csv_text([["=HYPERLINK(1)", "+1 roof", "@x", "-5", "-0.28", "1e-3"]]) == (
        "'=HYPERLINK(1),'+1 roof,'@x,-5,-0.28,1e-3\r\n"
    )


def test_that_a_tab_or_a_line_break_in_a_name_makes_no_new_cell() -> None:
    assert tsv([["north\troof", "a\nb"], ["1", "2"]]) == "north roof\ta b\n1\t2\n"
