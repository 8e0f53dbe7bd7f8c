"""The lathe book: lathes kept by name, two holders of one file, what a job says of its lathe.

What a save of two holders must come to is worked out here lathe by lathe from what each of them
did since it last read, in the open (no outside source: the promise of the docstring).
"""

import dataclasses
import hashlib
import json
import tempfile
from pathlib import Path

import pytest
from cases import cases
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from tapertrig import Angle, demo
from tapertrig.job import Callout, Job
from tapertrig.lathe import Dial, Lathe, LatheBook, what_changed

BLUE = Lathe(
    "in", 3.6, Dial(0.001, 0.1), Dial(0.001, 0.2, "diameter"), name="Blue lathe",
    parked="topslide back, gib nipped", compound_backlash=0.007,
    compound_backlash_measured="2031-05-04", quill_slope=-0.0002,
)  # fmt: skip
BARE = Lathe("mm", None, Dial(0.02, 2.0), Dial(0.02, 2.0), base_zero=None, name="The old one")


def one(**change):
    return dataclasses.replace(BLUE, **change)


lathes = st.builds(
    Lathe,
    unit=st.sampled_from(["in", "mm"]),
    compound_reach=st.none() | st.floats(0.1, 300),
    compound_dial=st.sampled_from([Dial(0.001, 0.1), Dial(0.02, 3.0)]),
    cross_dial=st.sampled_from([Dial(0.001, 0.2, "diameter"), Dial(0.05, 4.0)]),
    base_zero=st.sampled_from([None, "parallel to bed", "square to bed"]),
    cross_backlash=st.floats(0, 1),
    cross_backlash_measured=st.none() | st.dates().map(str),
    base_radius=st.none() | st.floats(0.1, 300),
    parked=st.none() | st.text(max_size=40),
    quill_slope=st.none() | st.floats(-0.05, 0.05),
    name=st.sampled_from(["Blue lathe", "Window", "Höhe 3", "№ 4"]),
)


# ---------------------------------------------------------------- one holder


@given(st.lists(lathes, unique_by=lambda each: each.name))
@settings(max_examples=cases(30))
def test_a_book_comes_back_from_its_file_as_it_was(kept):
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "shop.book.json"
        assert LatheBook(tuple(kept)).save(path) == path.resolve()
        book = LatheBook.load(path)
    assert dict(book) == {each.name: each for each in kept}
    assert book.names == tuple(each.name for each in kept)


def test_a_lathe_is_added_changed_copied_renamed_and_removed():
    book = LatheBook().with_lathe(BLUE).with_lathe(BARE)
    assert book.names == ("Blue lathe", "The old one")
    assert book["Blue lathe"] == BLUE
    assert book.with_lathe(one(compound_reach=3.5))["Blue lathe"].compound_reach == 3.5
    assert book.copy("The old one", "Twin")["Twin"] == dataclasses.replace(BARE, name="Twin")
    assert book.rename("Blue lathe", "Green").names == ("Green", "The old one")
    assert book.without("Blue lathe").names == ("The old one",)
    assert book.names == ("Blue lathe", "The old one")  # every change gave another book


@pytest.mark.parametrize("wrong", [KeyError, ValueError])
def test_a_lathe_that_is_not_there_is_named(wrong):
    book = LatheBook((BLUE,))
    for ask in (book.__getitem__, book.without, lambda name: book.copy(name, "Twin")):
        with pytest.raises(wrong, match="has no “Grey”; it has “Blue lathe”"):
            ask("Grey")


@pytest.mark.parametrize(
    "name",
    [
        "",
        "  ",
        " Blue",
        "Blue\nlathe",
        "blue  lathe",
        "BLUE LATHE",
        "Blue\u00a0lathe",
        "Blue lathe",
        "x" * 201,
    ],
)
def test_a_name_that_would_be_no_name_or_taken_for_another_is_refused(name):
    with pytest.raises(ValueError, match="name"):
        LatheBook((BLUE,)).copy("Blue lathe", name)


def test_a_book_of_a_folder_without_one_is_empty(tmp_path):
    assert LatheBook.of_folder(tmp_path) == LatheBook()
    with pytest.raises(ValueError, match="cannot be read"):
        LatheBook.load(tmp_path / "none.book.json")


def sealed(whole):
    """File text with a checksum that fits, as a newer or a careless program would write it."""
    whole.pop("checksum", None)
    text = json.dumps(whole, sort_keys=True, separators=(",", ":"))
    return json.dumps(whole | {"checksum": hashlib.sha256(text.encode()).hexdigest()})


def newer_format(whole):
    whole["version"] = 2


def newer_figure(whole):
    whole["lathe book"]["lathes"][0]["spindle_nose"] = "D1-4"


@pytest.mark.parametrize("change", [newer_format, newer_figure])
def test_what_a_newer_kit_wrote_is_refused_and_stays(tmp_path, change):
    path = LatheBook((BLUE,)).save(tmp_path / "shop.book.json")
    whole = json.loads(path.read_text())
    change(whole)
    path.write_text(sealed(whole))
    before = path.read_bytes()
    for replace in (False, True):
        with pytest.raises(ValueError, match="newer tapertrig"):
            LatheBook((BARE,)).save(path, replace=replace)
    assert path.read_bytes() == before


@pytest.mark.parametrize("content", [b"", b"{", b"[]", b'{"format": "tapertrig job"}'])
def test_a_file_that_is_no_book_is_left_alone(tmp_path, content):
    path = tmp_path / "shop.book.json"
    path.write_bytes(content)
    with pytest.raises(ValueError, match=r"shop\.book\.json"):
        LatheBook((BLUE,)).save(path, replace=True)
    assert path.read_bytes() == content


# ---------------------------------------------------------------- two holders

NAMES = st.sampled_from(["Blue", "Grey", "Window"])
REACHES = st.sampled_from([2.0, 2.5, 3.0])
WHO = st.sampled_from([0, 1])


class TwoHolders(RuleBasedStateMachine):
    """Two programs with one book open: what a save kept is there until somebody undoes it."""

    @initialize()
    def begin(self):
        self.folder = tempfile.TemporaryDirectory()
        self.path = Path(self.folder.name) / "shop.book.json"
        self.held = [LatheBook(), LatheBook()]
        self.since = [{}, {}]  # what each did since it last read: name, what was, what is
        self.file = {}

    def teardown(self):
        self.folder.cleanup()

    def _did(self, who, book):
        here = {name: each.compound_reach for name, each in self.held[who].items()}
        now = {name: each.compound_reach for name, each in book.items()}
        for name in here | now:
            if here.get(name) != now.get(name):
                first = self.since[who].get(name, (here.get(name), None))[0]
                self.since[who][name] = first, now.get(name)
        self.held[who] = book

    @rule(who=WHO, name=NAMES, reach=REACHES)
    def put(self, who, name, reach):
        self._did(who, self.held[who].with_lathe(one(name=name, compound_reach=reach)))

    @rule(who=WHO, name=NAMES)
    def remove(self, who, name):
        if name in self.held[who]:
            self._did(who, self.held[who].without(name))

    @rule(who=WHO, name=NAMES, other=NAMES)
    def rename(self, who, name, other):
        if name in self.held[who] and other not in self.held[who]:
            self._did(who, self.held[who].rename(name, other))

    @rule(who=WHO)
    def read(self, who):
        self.held[who], self.since[who] = LatheBook.of_folder(self.folder.name), {}
        if self.path.exists():
            self.held[who] = LatheBook.load(self.path)

    @rule(who=WHO, wins=st.booleans(), old=st.booleans())
    def save(self, who, wins, old):
        done = {name: (was, now) for name, (was, now) in self.since[who].items() if was != now}
        clash = [name for name, (was, now) in done.items() if self.file.get(name) not in (was, now)]
        if clash and not wins:
            with pytest.raises(ValueError, match=f"“({'|'.join(clash)})” has been changed"):
                self.held[who].keep(self.path)
            return
        kept = self.held[who].keep(self.path, replace=wins)
        for name, (_was, now) in done.items():
            self.file[name] = now
        self.file = {name: reach for name, reach in self.file.items() if reach is not None}
        if not old:
            self.held[who], self.since[who] = kept, {}
            return
        # The book that was saved is held on to: what it has not seen is not its own doing.
        self.since[who] = {
            name: (self.file.get(name), self.file.get(name)) for name in done
        }  # fmt: skip

    @invariant()
    def the_file_holds_what_was_kept(self):
        if not hasattr(self, "path") or not self.path.exists():
            return
        found = LatheBook.load(self.path)
        assert {name: each.compound_reach for name, each in found.items()} == self.file
        assert all(each == one(name=name, compound_reach=each.compound_reach)
                   for name, each in found.items())  # fmt: skip


TestTwoHolders = TwoHolders.TestCase
TestTwoHolders.settings = settings(max_examples=cases(40), stateful_step_count=20, deadline=None)


def test_a_clash_names_the_lathe_and_what_differs(tmp_path):
    path = LatheBook((BLUE, BARE)).save(tmp_path / "shop.book.json")
    here, there = LatheBook.load(path), LatheBook.load(path)
    there.with_lathe(one(cross_dial=Dial(0.001, 0.1))).save(path)
    with pytest.raises(ValueError, match=r"“Blue lathe”.*Usable compound travel was 3\.1 in"):
        here.with_lathe(one(compound_reach=3.1)).save(path)
    with pytest.raises(ValueError, match="removed here, changed there"):
        here.without("Blue lathe").save(path)
    assert here.without("The old one").keep(path).names == ("Blue lathe",)


# ---------------------------------------------------------------- the lathe, and a job's copy of it


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ({"compound_backlash": None}, "compound backlash is not given, but was measured"),
        ({"compound_backlash_measured": "last week"}, "give year, month and day"),
        ({"cross_backlash_measured": "2031-05-04"}, "cross backlash is not given"),
        ({"quill_slope": 0.2}, "quill's slope is 0.2"),
        ({"quill_slope": float("nan")}, "quill's slope"),
        ({"parked": 7}, "how the slide is parked"),
    ],
)
def test_a_figure_that_cannot_be_is_refused(change, word):
    with pytest.raises(ValueError, match=word):
        one(**change)


def test_figures_say_what_is_not_given():
    told = BARE.figures()
    lacking = {name for name, words in told.items() if words == "not given"}
    assert lacking == set(told) - {"Compound dial", "Cross dial"}
    assert one().figures()["Compound backlash"] == "0.007 in, measured 2031-05-04"


@pytest.mark.parametrize("part", [part.name for part in dataclasses.fields(Lathe)])
def test_every_figure_that_differs_is_named(part):
    other = {
        "unit": "mm", "compound_reach": None, "compound_dial": Dial(0.001, 0.125),
        "cross_dial": Dial(0.001, 0.2), "base_zero": "square to bed", "compound_backlash": 0.0071,
        "cross_backlash": 0.01, "base_radius": 2.0, "name": "Bleu", "parked": None,
        "compound_backlash_measured": "2031-05-05", "quill_slope": 0.0002,
        "cross_backlash_measured": None,
    }  # fmt: skip
    was = one(cross_backlash=0.009, cross_backlash_measured="2031-05-04")
    changed = dataclasses.replace(was, **{part: other[part]})
    told = what_changed(was, changed)
    words = {
        "compound_reach": "compound travel", "base_radius": "rim", "parked": "parked",
        "quill_slope": "Quill", "unit": "in",
    }.get(part, part.removesuffix("_measured").replace("_", " "))  # fmt: skip
    assert words.lower() in told[0].lower()
    assert what_changed(was, was) == ()


def test_a_job_keeps_its_own_copy_and_says_when_the_books_has_changed():
    job = Job(Callout("half angle", "20°43′"), BLUE)
    book = LatheBook((BLUE, BARE))
    assert job.lathe_changed(book) == ()
    told = job.lathe_changed(book.with_lathe(one(cross_dial=Dial(0.001, 0.2))))
    assert told == (
        "Cross dial was .001 a graduation, .200 a turn, reads the diameter, "
        "now .001 a graduation, .200 a turn, reads slide movement",
    )
    assert job.lathe == BLUE
    assert job.lathe_changed(book.without("Blue lathe")) == ()
    assert Job().lathe_changed(book) == ()


def test_a_job_with_all_of_a_lathe_comes_back_from_its_file(tmp_path):
    job = Job(Callout("half angle", "20°43′"), BLUE).with_pass(2.5, 1.8)
    assert Job.load(job.save(tmp_path / "seat.job.json")) == job
    assert (
        job.passes[0].half_angle
        == dataclasses.replace(job, lathe=one(parked=None, quill_slope=None))
        .with_pass(2.5, 1.8)
        .passes[0]
        .half_angle
    )


def test_a_job_file_from_before_the_lathe_book_loads_and_is_kept_the_same():
    """The lathe as such a file has it, written out: nine figures, none of the later four."""
    plain = {
        "unit": "in", "compound_reach": 3.25, "base_zero": None, "compound_backlash": 0.006,
        "compound_dial": {"graduation": 0.001, "per_turn": 0.1, "reads": "radius"},
        "cross_dial": {"graduation": 0.001, "per_turn": 0.2, "reads": "diameter"},
        "cross_backlash": None, "base_radius": None, "name": "Blue lathe",
    }  # fmt: skip
    job = Job(Callout("half angle", Angle.parse("20°43′")), demo.job().lathe)
    whole = json.loads(job.file_text())
    whole["job"]["lathe"] = plain
    back = Job.from_file_text(sealed(whole))
    assert back.lathe == Lathe(
        "in", 3.25, Dial(0.001, 0.1), Dial(0.001, 0.2, "diameter"), None, 0.006, name="Blue lathe"
    )
    assert json.loads(back.file_text())["job"]["lathe"] == plain
    del plain["name"]
    whole["job"]["lathe"] = plain
    with pytest.raises(ValueError, match="missing or unknown: name"):
        Job.from_file_text(sealed(whole))
