"""Seven days: load, distribution, how easy the easy days were."""
