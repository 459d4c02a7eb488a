"""Checks against published sources, each with its source beside it."""
