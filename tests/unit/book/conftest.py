from book_fixtures import address, book, empty_sqlite, kind, nowhere, project, server, shop

__all__ = ["address", "book", "empty_sqlite", "kind", "nowhere", "project", "server", "shop"]
