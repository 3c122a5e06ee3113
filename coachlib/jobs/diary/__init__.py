"""The week sheet: written for an athlete to fill in, and taken back into the diary."""
