"""The way to the athlete: mail drafts and calendars, written and never sent."""
