"""One drift test as a page to print."""
