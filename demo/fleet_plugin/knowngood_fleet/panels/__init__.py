"""The page of the fleet."""
