"""Two refrigerants compared: by properties, by published facts, and in the cars of the shop."""
