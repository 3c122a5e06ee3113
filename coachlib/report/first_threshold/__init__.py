"""The first threshold's page, the next test, the protocol sheet."""
