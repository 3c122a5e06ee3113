"""From results to a page: wording, charts, tables, the exporter and its gate."""
