from book_fixtures import address, book, empty_sqlite, kind, nowhere, server

__all__ = ["address", "book", "empty_sqlite", "kind", "nowhere", "server"]
