"""The catalogue of treatments, and what a clinician sets for one patient."""
