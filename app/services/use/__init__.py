"""Use: a range of days counted, for the manager."""
