"""Seven days of one athlete."""
