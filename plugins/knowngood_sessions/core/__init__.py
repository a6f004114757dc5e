"""Reading of recorded sessions and what is found in them: pure functions, SI, no window."""
