"""What a template may read, as frozen dataclasses built from a day and its plan."""
