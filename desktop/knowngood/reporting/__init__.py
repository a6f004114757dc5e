"""The report on a session: what it says, its HTML page, and that page as PDF."""
