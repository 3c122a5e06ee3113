"""The letter page: the note, the week's diary rows, and the button that writes."""
