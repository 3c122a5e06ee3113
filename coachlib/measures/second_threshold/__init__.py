"""The second threshold from trials, lactate and critical speed or power."""
