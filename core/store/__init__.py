"""The studio's book: one SQLite file. Everything outside uses :class:`core.store.book.Book`."""
