"""Interactive panels for the workbooks."""
