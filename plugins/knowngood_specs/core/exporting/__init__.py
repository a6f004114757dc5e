"""Vehicles with their spec values written as tables that can be read back."""
