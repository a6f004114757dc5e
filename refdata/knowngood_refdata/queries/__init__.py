"""Questions to the library and additions to it. Answers are frozen records."""
