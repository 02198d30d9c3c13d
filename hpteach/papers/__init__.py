"""Papers that are printed: forms, key, answer sheet, and the pages of a marked class.

What lives here: `write_papers` with what it writes, `write_marks`, and the layouts of all pages.  What does not: dealing and marking (assessment),
the charts themselves (diagrams).
"""

from hpteach.papers.paper_files import Printed, write_papers

__all__ = ["Printed", "write_papers"]
