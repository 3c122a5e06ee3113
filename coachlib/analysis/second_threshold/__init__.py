"""The second threshold: what trials and step tests say, and what may be accepted."""
