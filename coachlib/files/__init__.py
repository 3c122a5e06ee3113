"""Everything that touches the disk: FIT files, the roster folder, the derived store."""
