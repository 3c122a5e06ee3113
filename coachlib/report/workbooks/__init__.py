"""Workbooks run one after another in a warm process."""
