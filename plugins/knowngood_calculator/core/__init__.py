"""What the calculator computes: no screen, no library, everything in SI."""
