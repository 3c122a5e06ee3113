"""A steady drift test: drift, decoupling, what makes a test valid, what its drift means."""
