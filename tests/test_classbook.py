"""A folder of records becomes counts; bad files are named and stop nothing."""

import pytest

from tapertrig.practice import Record
from tapertrig.practice.class_book import NO_KNOWN_MISTAKE, Share, read_classbook
from tapertrig.practice.record import Entry, load_record

COSINE, SIGN = "cosine for sine", "ball height sign"


def entry(topic, seed, right, mistakes=(), tries=1, seconds=10.0):
    return Entry(topic, seed, "1", right, mistakes, tries, seconds)


@pytest.fixture
def folder(tmp_path):
    """Two learners, one with a typed name, and five files that are no records."""
    Record(
        (
            entry("setup triangle", 1, False, (COSINE,)),
            entry("setup triangle", 1, False, (COSINE, "half angle halved again"), 2),
            entry("setup triangle", 1, True, (), 3),
            entry("one ball", 2, False, (SIGN,)),
        ),
        "Alva",
    ).save(tmp_path / "b.csv")
    Record((entry("setup triangle", 1, True), entry("one ball", 2, False))).save(
        tmp_path / "bench 7.csv"
    )
    (tmp_path / "empty.csv").write_text("")
    (tmp_path / "foreign.csv").write_text("part,price\nring,3\n")
    (tmp_path / "noise.CSV").write_bytes(bytes(range(256)))
    (tmp_path / "folder.csv").mkdir()
    (tmp_path / "notes.txt").write_text("not looked at")
    torn = (tmp_path / "b.csv").read_text().splitlines()[:2] + ["one ball,3"]
    (tmp_path / "torn.csv").write_text("\n".join(torn).replace("Alva", "Bo"))
    return tmp_path


def test_bad_files_are_named_and_stop_nothing(folder):
    book = read_classbook(folder)
    assert book.learners == ("Alva", "Bo", "bench 7")
    assert {name for name, _ in book.skipped} == {
        "empty.csv", "foreign.csv", "noise.CSV", "folder.csv",
    }  # fmt: skip
    assert all(reason for _, reason in book.skipped)
    assert [name for name, _ in book.lost_lines] == ["torn.csv"]
    assert "line 3" in book.lost_lines[0].reason


def test_counts_by_mistake(folder):
    book = read_classbook(folder)
    assert list(book.by_mistake().items()) == [
        (COSINE, 3),
        (SIGN, 1),
        ("half angle halved again", 1),
        (NO_KNOWN_MISTAKE, 1),
    ]


def test_counts_by_topic_and_learner(folder):
    book = read_classbook(folder)
    assert book.by_topic() == {
        "setup triangle": Share(3, 2, 5, 2.0, 50.0),
        "one ball": Share(2, 0, 2, None, 20.0),
    }
    assert list(book.by_learner()) == ["Alva", "Bo", "bench 7"]
    assert book.by_learner()["Alva"] == Share(2, 1, 4, 3.0, 40.0)
    assert book.tries() == {1: 1, 3: 1}


def test_one_learner(folder):
    book = read_classbook(folder).of("Alva")
    assert book.learners == ("Alva",)
    assert book.by_mistake()[COSINE] == 2
    with pytest.raises(ValueError, match="Alva, Bo, bench 7"):
        read_classbook(folder).of("Cy")


def test_an_empty_folder_and_none(tmp_path):
    book = read_classbook(tmp_path)
    assert (book.answers, book.by_mistake(), book.by_topic(), book.tries()) == ((), {}, {}, {})
    with pytest.raises(ValueError, match="cannot be read: no such file"):
        read_classbook(tmp_path / "nowhere")


def test_two_copies_of_a_record_count_once_and_two_records_called_alike_are_two(tmp_path):
    for learner in ("ada", "bo"):
        (tmp_path / learner).mkdir()
        Record((entry("rolls", 1, True),)).add_to(tmp_path / learner / "record.csv")
        (tmp_path / learner / "record.csv").rename(tmp_path / f"{learner}.csv")
    longer = load_record(tmp_path / "ada.csv").record
    copy = tmp_path / "record (1).csv"
    copy.write_bytes((tmp_path / "ada.csv").read_bytes())
    longer.joined(Record((entry("rolls", 2, True),))).add_to(copy)
    assert read_classbook(tmp_path).by_learner() == {
        "ada": Share(2, 2, 2, 1.0, 20.0),
        "bo": Share(1, 1, 1, 1.0, 10.0),
    }


def test_equal_names_of_two_files_count_as_one_learner(tmp_path):
    for number in (1, 2):
        Record((entry("rolls", number, True),), "Alva").save(tmp_path / f"{number}.csv")
    assert read_classbook(tmp_path).by_learner() == {"Alva": Share(2, 2, 2, 1.0, 20.0)}
