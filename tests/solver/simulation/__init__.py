"""The simulation of a planned day."""
