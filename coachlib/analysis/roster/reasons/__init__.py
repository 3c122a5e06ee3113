"""The reasons to stand on the call sheet: a file a reason or a small group, each with its entry ``REASONS``."""
