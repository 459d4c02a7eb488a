"""All SQL: rows to the solver's types and back. Functions here are handed a session and never end its transaction."""
