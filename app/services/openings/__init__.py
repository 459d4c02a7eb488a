"""The front desk's room: where a visit could be, why not there, and booking, moving and undoing it."""
