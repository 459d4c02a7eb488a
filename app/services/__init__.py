"""Use cases of the web app."""
