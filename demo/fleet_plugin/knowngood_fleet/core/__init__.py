"""The arithmetic of a fleet: pure functions of frozen records, no screen and no database."""
