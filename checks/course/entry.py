"""Entry: what is entered of one submission, in one opening of the gradebook and one transaction.

nbgrader opens its gradebook eleven times for a submission, looks each time whether all tables are
there, and commits twenty times.  Here all of it joins one opening: it is entered whole or, if
anything goes wrong, not at all.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

__all__ = ["one_entry"]


@contextmanager
def one_entry(book: Any) -> Iterator[None]:
    """Let whatever opens the gradebook meanwhile join one that is open.

    What the others commit is seen by all at once, and is in the file when this ends.

    Args:
        book: nbgrader's `Gradebook`; it has nothing under way.
    """
    from nbgrader.api import Gradebook

    def join(self: Any, db_url: str, course_id: str = "", authenticator: Any = None) -> None:
        self.engine, self.db, self.authenticator = book.engine, book.db, book.authenticator
        self.course_id = book.course_id

    opened: Any = Gradebook
    before = opened.__init__, opened.close
    book.db.remove()
    with book.engine.begin() as whole:
        # SQLAlchemy, "Joining a Session into an External Transaction": a commit flushes and
        # forgets what was read, and only a rollback reaches the file.
        book.db.configure(bind=whole, join_transaction_mode="rollback_only")
        opened.__init__, opened.close = join, lambda self: None
        try:
            yield
        finally:
            opened.__init__, opened.close = before
            book.db.remove()
