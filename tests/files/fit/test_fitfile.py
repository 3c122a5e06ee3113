"""Files that are damaged, cut, or something else: what was written is kept, and the rest is said in words."""

import hashlib

import numpy as np
import pytest
from fitbytes import RUNNING, START, TRANSITION, FitBytes, crc, steady_run
from pydantic import TypeAdapter
from said import said

from coachlib.errors import CoachError, FileProblem
from coachlib.files.fit.container import LARGEST_FILE_BYTES, checksum
from coachlib.files.fit.reading import read_fit, read_fit_bytes
from coachlib.measures.common.codes import Code

#: Whole files on which decoders stumble, each by another fault.
STUMBLING_BLOCKS = {
    "header size not 12 or 14": "14205408000000002e4649540000000000000000502b",
    "zero-size field": "0e2054080a0000002e46495439ae400000140001030002006a31",
    "developer field smaller than its type": (
        "0e2054082e0000002e4649543a45400000cf00010301020000400000ce000300010201010202010200000086"
        "60000014000103010201000100006401eb35"
    ),
    "message passes declared body": "0e2054080a0000002e46495439ae4000001400010301020064b138",
    "timestamp as two values": "0e205408120000002e4649543904400000140001fd0886000000000000000000601f",
    "timestamp as string": "0e2054080e0000002e464954385d400000140001fd040700616263001198",
    "timestamp as float64": "0e205408120000002e4649543904400000140001fd0889009c7500883ce4377e47b9",
    "local timestamp as array": "0e205408120000002e46495439044000002200010508860000ca9a3b01000000e718",
    "unknown base type described": (
        "0e2054081e0000002e4649543951400000cf00010301020000400000ce000300010201010202010200000055def9"
    ),
    "developer index invalid": "0e2054080b0000002e464954f862400000cf000103010200ffbc7c",
    "developer index as array": "0e2054080c0000002e464954b984400000cf0001030202000102f810",
    "developer index as string": "0e2054080b0000002e464954f862400000cf00010301070078ec1f",
    "part of a compressed triple invalid": "0e2054080d0000002e46495478484000001400010803020001ff021e8e",
    "compressed triple as string": "0e2054080d0000002e4649547848400000140001080307006162637be8",
    "beat time without its start": "0e2054080d0000002e46495478484000008400010a030d00010203ee62",
}


@pytest.mark.parametrize("name", STUMBLING_BLOCKS)
def test_stumbling_blocks_end_in_a_sentence_or_an_activity(name):
    data = bytes.fromhex(STUMBLING_BLOCKS[name])
    try:
        answer = str(read_fit_bytes(data).sha256)
    except CoachError as problem:
        answer = str(problem)
    assert answer.startswith("a recording must") or len(answer) == 64
    assert "cannot be read around" not in answer


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        (b"", "this file is empty"),
        (b"\x0e", "does not begin like one"),
        (b"  <!DOCTYPE html><html>404</html>", "web page"),
        (b"\xef\xbb\xbf<?xml version='1.0'?><gpx></gpx>", r"another format \(GPX\)"),
        (b"<?xml version='1.0'?><other/>", r"another format \(XML\)"),
        (b"PK\x03\x04" + bytes(40), "zip archive"),
        (b"\x1f\x8b" + bytes(40), r"packed \(gzip\)"),
        (b"time,heart rate\n0,120\n", "does not begin like one"),
        (bytes(LARGEST_FILE_BYTES + 1), "may have 50 MB"),
    ],
)
def test_other_kinds_of_file_are_named(data, sentence):
    with pytest.raises(FileProblem, match=sentence):
        read_fit_bytes(data)


def test_files_that_cannot_be_opened(tmp_path):
    with pytest.raises(FileProblem, match=r"missing\.fit cannot be opened: No such file"):
        read_fit(tmp_path / "missing.fit")
    with pytest.raises(FileProblem, match="is not a file"):
        read_fit(str(tmp_path))
    with pytest.raises(FileProblem, match="cannot be opened: embedded null byte"):
        read_fit("a\0b")


@pytest.mark.parametrize(
    ("kind", "word"), [(2, "settings"), (5, "workout"), (6, "course"), (32, "monitoring b")]
)
def test_fit_files_that_are_no_activity_are_named(kind, word):
    with pytest.raises(FileProblem, match=f"of the kind “{word}”"):
        read_fit_bytes(FitBytes().file_id(kind).record(START, 100).bytes())


def test_an_activity_without_records_is_refused():
    with pytest.raises(FileProblem, match="holds 0 records"):
        read_fit_bytes(FitBytes().file_id().session(START, 600).bytes())


def test_records_without_a_time_are_refused():
    fit = FitBytes().file_id().message(20, (3, "uint8", 120)).message(20, (3, "uint8", 121))
    with pytest.raises(FileProblem, match="holds 2 records, none of them with a usable time"):
        read_fit_bytes(fit.bytes())


def test_checksum_agrees_with_its_definition():
    data = np.random.default_rng(1).integers(0, 256, 999, dtype=np.uint8).tobytes()
    assert checksum(data) == crc(data)
    assert checksum(data[:-1]) == crc(data[:-1])


def test_a_plain_file_has_no_caveats():
    activity = read_fit_bytes(steady_run(100).bytes())
    assert said(activity) == ()
    assert len(activity.samples) == 100


@pytest.mark.parametrize("header", [12, 14])
def test_both_header_sizes(header):
    assert len(read_fit_bytes(steady_run(50).bytes(header=header)).samples) == 50


@pytest.mark.parametrize("header", [0, 13, 20, 255])
def test_a_wrong_header_size_is_mended(header):
    data = bytearray(steady_run(50).bytes())
    data[0] = header
    activity = read_fit_bytes(bytes(data))
    assert len(activity.samples) == 50
    assert f"gives its own size as {header} bytes" in said(activity)[0]


@pytest.mark.parametrize("announced", [0, 0xFFFFFFFF, 2**31, 100])
@pytest.mark.parametrize("footer", [None, b""])
def test_a_wrong_announced_size_loses_no_record(announced, footer):
    activity = read_fit_bytes(steady_run(50).bytes(announced=announced, footer=footer))
    assert len(activity.samples) == 50
    assert len(said(activity)) == 1
    assert f"{announced:,} bytes" in said(activity)[0] or "goes on for" in said(activity)[0]


@pytest.mark.parametrize("footer", [b"", b"\x12"])
def test_a_missing_checksum_is_a_caveat(footer):
    activity = read_fit_bytes(steady_run(50).bytes(footer=footer))
    assert len(activity.samples) == 50
    assert "without its checksum" in " ".join(said(activity))


def test_a_wrong_checksum_is_a_caveat():
    activity = read_fit_bytes(steady_run(50).bytes(footer=b"\x00\x00"))
    assert len(activity.samples) == 50
    assert said(activity) == ("the file's checksum does not fit its contents; single values may be damaged",)


@pytest.mark.parametrize("n_whole", [1, 77, 200])
@pytest.mark.parametrize("extra_bytes", [0, 1, 5])
def test_a_cut_file_keeps_every_whole_record_and_says_so(n_whole, extra_bytes):
    data = steady_run(300).bytes()
    activity = read_fit_bytes(data[: 14 + _body_bytes(n_whole) + extra_bytes])
    assert activity.samples["time_s"].tolist() == list(range(n_whole))
    assert f"announces {len(data) - 16:,} bytes" in said(activity)[0]
    if extra_bytes > 2:  # two bytes at a guessed end may be the checksum
        assert f"records read before it: {n_whole};" in said(activity)[1]


def _body_bytes(records):
    """Bytes of a steady run's body up to its n-th record."""
    fit = FitBytes().file_id().timer(START, 0)
    for s in range(records):
        fit.record(START + s, 140)
    return len(fit.body)


def test_damage_keeps_what_came_before_and_says_so():
    data = bytearray(steady_run(300).bytes())
    at = 14 + _body_bytes(200)
    data[at] = 0x0F  # a message of a kind that was never defined
    activity = read_fit_bytes(bytes(data))
    assert len(activity.samples) == 200
    told = f"the file is damaged at byte {at:,} of {len(data):,}; records read before it: 200"
    assert any(told in caveat and "2026-10-03 07:03:19 UTC" in caveat for caveat in said(activity))
    assert any("no summary of this session" in caveat for caveat in said(activity))


def test_chained_files_are_read_one_after_another_even_behind_damage():
    first = bytearray(steady_run(100).bytes())
    first[14 + _body_bytes(50)] = 0x0F
    second = FitBytes().file_id()
    for s in range(80):
        second.record(START + 1000 + s, 150)
    second.session(START + 1000, 79, TRANSITION)
    activity = read_fit_bytes(bytes(first) + second.bytes(), part=1)
    assert [p.sport for p in activity.parts] == ["", "transition"]
    assert activity.parts[1].start_s == 1000.0
    assert len(activity.samples) == 80
    assert len(read_fit_bytes(bytes(first) + second.bytes(), part=0).samples) == 50


def test_bytes_behind_a_good_file_are_left_unread():
    activity = read_fit_bytes(steady_run(50).bytes() + b"garbage")
    assert said(activity) == ("7 bytes after the end of the recording were left unread",)


def test_a_recording_of_more_than_a_day():
    fit = FitBytes().file_id()
    for s in range(0, 28 * 3600, 2):
        fit.record(START + s, 120)
    activity = read_fit_bytes(fit.session(START, 28 * 3600, RUNNING).bytes())
    assert activity.elapsed_s == 28 * 3600 - 2


def test_the_answer_knows_its_bytes_and_its_device(tmp_path):
    data = steady_run(50).bytes()
    path = tmp_path / "a.fit"
    path.write_bytes(data)
    activity = read_fit(path)
    assert activity.sha256 == hashlib.sha256(data).hexdigest()
    assert activity.device == "12345"
    assert path.read_bytes() == data


def test_what_is_odd_about_a_file_reads_the_same_after_it_was_kept_as_json():
    whole = steady_run(300).bytes()
    activity = read_fit_bytes(whole[: 14 + _body_bytes(200) + 5])
    assert "file damaged" in [c.name for c in activity.caveats]
    kept = TypeAdapter(tuple[Code, ...])
    assert kept.validate_json(kept.dump_json(activity.caveats)) == activity.caveats
