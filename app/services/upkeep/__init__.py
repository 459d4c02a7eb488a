"""Upkeep of units and items: what was done, by whom, and by which date it is to be done again."""
