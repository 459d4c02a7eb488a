"""The database: engines, and what differs between SQLite and PostgreSQL, each in one file of its own."""
