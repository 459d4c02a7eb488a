"""Set-up: what a clinic has, read as forms, changed from forms, and what a change does to booked visits.

``forms``: the forms. ``filled``: what is set up now, as forms. ``things``, ``clinic_changes`` and ``times_away``: the
changes. ``changing``: what a change breaks, and making it; ``foreseeing``: finding that once. ``merging``, ``dropping``
and ``pausing``: a day after a change. ``judging`` and ``wording``: the faults of forms. ``whose``: whose visits break,
by name. ``starting_points``: ready-made forms of units.
"""
