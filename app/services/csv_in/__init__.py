"""Patients and staff brought in from CSV: previewed first, then exactly what was previewed."""
