"""Two installations that began by themselves, typed: labels that clash, and a fork told loudly."""

import random
import re
from pathlib import Path

import pytest

from tests.cli.terminal import SeededSecrets, Terminal
from tests.errors.scenes import set_scene
from triplog.cli.exit_codes import DONE, FOUND, REFUSED


def begun(folder: Path, seed: int) -> Terminal:
    """An installation of its own, with a trip and gear under the usual labels."""
    folder.mkdir()
    terminal = Terminal(folder=folder, secrets=SeededSecrets(random.Random(seed)))
    for line in (
        ("begin", "--carrier", "the carrier", "--person", "owner"),
        ("gear", "add", "S-1", "--width", "2 in", "--wll", "3335 lb"),
        ("trip", "new", "--what", "crated pump", "--mass", "900 lb"),
    ):
        assert terminal.type(*line).code in (DONE, FOUND), line
    return terminal


@pytest.fixture
def both(tmp_path: Path) -> Terminal:
    """An installation that took in another which uses the same labels."""
    one, two = begun(tmp_path / "one", 1), begun(tmp_path / "two", 2)
    assert two.type("backup", str(one.folder / "two.sqlite3")).code == DONE
    said = one.type("take-in", "two.sqlite3")
    assert said.code == DONE, said.err
    return one


def test_labels_that_clash_show_their_device_and_one_is_picked_by_it(both: Terminal) -> None:
    for listing, label in (
        (("trip", "list"), "T-1"),
        (("gear", "list"), "S-1"),
        (("person", "list"), "owner"),
        (("due",), "T-1"),
    ):
        said = both.type(*listing)
        assert len(set(re.findall(rf"{label}@[a-z2-7]{{4}}\b", said.out))) == 2, listing
    shown = re.findall(r"T-1@\w+", both.type("trip", "list").out)
    refused = both.type("trip", "show", "T-1")
    assert refused.code == REFUSED
    assert all(word in refused.err for word in shown)
    picked = {both.type("trip", "show", word).out for word in shown}
    assert len(picked) == 2
    refused = both.type("gear", "show", "S-1")
    assert refused.code == REFUSED
    assert "several could be meant by 'S-1': S-1@" in refused.err
    assert both.type("due", "--trip", shown[0]).code == both.type("due").code
    assert both.type("trip", "show", "T-1@zzzz").code == REFUSED


def test_taking_in_the_same_twice_says_that_nothing_is_new(both: Terminal) -> None:
    count = both.entry_count()
    said = both.type("take-in", "two.sqlite3")
    assert (said.code, both.entry_count()) == (DONE, count)
    assert "nothing new in it; nothing was recorded" in said.out


def test_a_fork_is_told_loudly_and_shown_ever_after(tmp_path: Path) -> None:
    from shutil import copytree

    one = Terminal(folder=tmp_path / "one")
    one.folder.mkdir()
    set_scene("a first check made", one)
    copytree(one.home, one.folder / "twin")
    one.type("odometer", "24170", "--sure")
    one.type("--home", "twin", "odometer", "24171", "--sure")
    said = one.type("take-in", "twin/triplog.sqlite3")
    assert said.code == FOUND
    assert "a fork: two programs went on from one copy of the file" in said.out
    assert "this is the chain of this very device" in said.out
    after = one.type("entries", "--check")
    assert after.code == FOUND
    assert "1 entries of it kept as evidence" in after.out
    assert "the chains hold together" in after.out


def test_a_back_up_says_what_is_not_in_it_and_what_to_do_after_a_loss(tmp_path: Path) -> None:
    one = begun(tmp_path / "one", 1)
    said = one.type("backup", "copy.sqlite3")
    assert said.code == DONE
    assert "not in it: device-key.pem" in said.out
    assert "`triplog restore copy.sqlite3`" in said.out
