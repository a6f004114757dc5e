"""Check-up: the steady windows of a session against known-good readings under matching conditions."""
