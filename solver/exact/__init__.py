"""The exact model of a day in OR-Tools CP-SAT: variables, rules and aims; the only place that imports OR-Tools."""
