"""The life of a visit, from when it is booked to what became of it, and what hangs on that."""
