"""The athlete's weekly letter."""
