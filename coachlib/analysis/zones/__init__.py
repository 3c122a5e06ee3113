"""Zones: what they rest on, what speed or power goes with them, what may not be made of them."""
