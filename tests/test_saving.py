"""A file is written whole, keeps who may read it, and leaves nothing beside it."""

from __future__ import annotations

import os
import threading
import time

import pytest

from tapertrig.job import Job
from tapertrig.lathe import LatheBook
from tapertrig.practice.record import load_record
from tapertrig.saving import plain_file_name, write_whole


@pytest.mark.skipif(os.name != "posix", reason="rights of a file are told otherwise there")
@pytest.mark.parametrize("mode", [0o600, 0o640, 0o644])
def test_who_may_read_a_file_stays_as_it_was(tmp_path, mode):
    mine = tmp_path / "record.csv"
    mine.write_text("before")
    mine.chmod(mode)
    write_whole(mine, "after")
    assert (mine.read_text(), mine.stat().st_mode & 0o777) == ("after", mode)


def test_what_a_lost_write_left_goes_with_the_next_one(tmp_path):
    """An hour and more: a write that another is just making stays."""
    lost, other, making = (
        tmp_path / name for name in (".a[1].csv.12.part", ".b.csv.12.part", ".a[1].csv.34.part")
    )
    for part in (lost, other, making):
        part.write_text("half")
    long_ago = time.time() - 2 * 3600
    os.utime(lost, (long_ago, long_ago))
    os.utime(other, (long_ago, long_ago))
    write_whole(tmp_path / "a[1].csv", "whole")
    assert {path.name for path in tmp_path.iterdir()} == {"a[1].csv", other.name, making.name}


@pytest.mark.parametrize("name", ["con .csv", "aux .x", "com1 .job", "LPT¹  .csv", "CONIN$", "nul"])
def test_a_name_that_windows_keeps_is_refused_with_a_space_too(name):
    """Microsoft, “Naming files, paths, and namespaces”; names before an ending, from memory."""
    with pytest.raises(ValueError, match="keep for themselves"):
        plain_file_name(name, ".csv")


@pytest.mark.parametrize("name", ["console.csv", "aux cup.csv", "com10.csv", "nullset"])
def test_a_name_that_only_begins_so_is_taken(name):
    assert plain_file_name(name, ".csv").startswith(name)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
@pytest.mark.parametrize("load", [Job.load, LatheBook.load, load_record])
def test_a_pipe_to_be_loaded_is_refused_and_not_waited_for(load, tmp_path):
    pipe = tmp_path / "a pipe"
    os.mkfifo(pipe)
    said: list[str] = []

    def read():
        with pytest.raises(ValueError, match="a pipe is no file; choose"):
            load(pipe)
        said.append("refused")

    reading = threading.Thread(target=read, daemon=True)
    reading.start()
    reading.join(20)
    assert said == ["refused"]


@pytest.mark.parametrize("load", [Job.load, LatheBook.load])
@pytest.mark.parametrize("text", ["[" * 100_000, '{"a":' * 100_000, '{"a": ' + "9" * 9000 + "}"])
def test_a_file_nested_without_end_or_of_endless_numbers_is_refused(load, text, tmp_path):
    path = tmp_path / "deep"
    path.write_text(text)
    with pytest.raises(ValueError, match=r"^deep is (torn or is )?no (job|lathe book) file"):
        load(path)
