"""Reading a log that its logger is still writing: what was added, and nothing of it twice."""
