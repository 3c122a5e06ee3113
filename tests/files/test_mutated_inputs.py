"""Whatever happened to a file's bytes: an answer or a sentence, soon.  Many more: benchmarks/mutated_inputs.py."""

from mutated import run


def test_changed_files_of_every_kind():
    wrong, refused, _ = run(300, seed=20261129)
    assert wrong == []
    assert 30 < refused < 280, "both happens"
