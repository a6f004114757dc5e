"""The invented shop: a simulator of a vehicle A/C loop, its cars, its library and its logs."""
