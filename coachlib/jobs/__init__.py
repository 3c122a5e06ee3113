"""What brings files and report together: a module a command."""
