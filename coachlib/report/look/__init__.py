"""Type, colour, space, tables: what every page looks like."""
