"""Refrigerant calculator: saturation both ways, superheat and subcooling with their uncertainty."""
