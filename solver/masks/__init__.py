"""Free time as bit masks: every start at which a visit fits into a plan, found by shifting and combining integers."""
