"""What can be said about adding one visit to a plan in which nothing else changes: every start, and why not another."""
