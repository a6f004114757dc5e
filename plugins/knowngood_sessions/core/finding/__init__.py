"""What is found in a session: windows, events, responses, and why a stretch is not steady."""
