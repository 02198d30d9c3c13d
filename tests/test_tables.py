"""Tables of text for terminal and notebook."""

from html.parser import HTMLParser

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hpteach.tables import Table

LINES = Table("Lines", ("line", "bar"), (("suction", "8.0"), ("discharge", "27.3")), right=(1,))


class Reader(HTMLParser):
    """Collects the text of each cell, and every tag."""

    def __init__(self, page):
        super().__init__()
        self.tags, self.cells = [], []
        self.feed(page)

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))
        if tag in ("td", "th"):
            self.cells.append("")

    def handle_data(self, data):
        if self.cells:
            self.cells[-1] += data


def test_terminal_layout_lines_up_the_columns():
    """Text stands flush left, the columns named in `right` flush right, under a rule as wide as the widest cell."""
    assert ["Lines", "line        bar", "---------  ----", "suction     8.0", "discharge  27.3"] == str(LINES).splitlines()


def test_table_without_a_caption_begins_with_its_headings():
    """An empty caption takes no line in a terminal and no element in a notebook."""
    bare = Table("", ("a",), (("1",),))
    assert "a" == str(bare).splitlines()[0]
    assert "<caption>" not in bare._repr_html_()


def test_table_without_rows_prints_its_headings():
    """A table with no rows is still a table: headings and a rule."""
    assert "a  b\n-  -" == str(Table("", ("a", "b"), ()))


def test_notebook_layout_has_caption_scope_and_alignment():
    """In a notebook the caption is a caption, headings are column headings and numbers are set to the right."""
    page = LINES._repr_html_()
    tags = Reader(page).tags
    assert "<caption>Lines</caption>" in page
    assert [("th", {"scope": "col", "style": "text-align:left"}), ("th", {"scope": "col", "style": "text-align:right"})] == [
        tag for tag in tags if tag[0] == "th"
    ]
    assert ["text-align:left", "text-align:right"] * 2 == [attrs["style"] for tag, attrs in tags if tag == "td"]


@pytest.mark.parametrize("text", ["<b>5</b>", "a & b", '"quoted"', "</table><script>"])
def test_markup_in_a_cell_is_shown_and_not_obeyed(text):
    """Text with markup characters appears as written, in the caption, a heading and a cell."""
    page = Table(text, (text,), ((text,),))._repr_html_()
    assert "script" not in {tag for tag, _ in Reader(page).tags} and "b" not in {tag for tag, _ in Reader(page).tags}
    assert [text, text] == Reader(page).cells


@given(
    st.lists(st.lists(st.text(st.characters(codec="ascii", categories=["L", "N"]), min_size=1), min_size=3, max_size=3), max_size=5),
    st.sets(st.integers(0, 2)),
)
def test_every_cell_reaches_both_layouts(rows, right):
    """Whatever the words and the alignment, no cell is lost in the terminal or in the notebook."""
    table = Table("all", ("x", "y", "z"), rows, right=tuple(right))
    assert [["x", "y", "z"], *rows] == [line.split() for line in str(table).splitlines()[1:] if set(line) - set("- ")]
    assert ["x", "y", "z", *(cell for row in rows for cell in row)] == Reader(table._repr_html_()).cells


def test_table_cannot_be_changed():
    """A table is a result: its fields are fixed."""
    with pytest.raises(AttributeError):
        LINES.caption = "other"
