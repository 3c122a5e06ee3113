"""Benchmarks run where they are named, and not with the tests."""


def pytest_ignore_collect(collection_path, config):
    """Leave everything here alone unless this folder was asked for; of its modules only benchmarks are collected."""
    is_named = any("benchmarks" in str(name) for name in config.args)
    return None if is_named and collection_path.name.startswith("test_") else True
