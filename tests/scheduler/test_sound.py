"""The tone where there is no bell: two rhythms of one pitch, through whatever player there is.

Told apart by rhythm, not by pitch: our design (hearing lost beside engines is lost for high tones
first; common practice, no source).
"""

import io
import stat
import sys
import wave
from pathlib import Path

import pytest

from scheduler.due import State
from scheduler.notify import Outcome
from scheduler.sound import FADE_MS, SoundNotifier, sound_of

REAL = pytest.mark.skipif(sys.platform == "win32", reason="that system plays from memory")


def beats(stage: State) -> list[tuple[bool, int]]:
    """(whether it sounds, milliseconds) one after another, as they are in the file."""
    with wave.open(io.BytesIO(sound_of(stage)), "rb") as sound:
        assert (sound.getnchannels(), sound.getsampwidth()) == (1, 2)
        rate = sound.getframerate()
        data = sound.readframes(sound.getnframes())
    step = 2 * rate // 200
    found: list[tuple[bool, int]] = []
    for begin in range(0, len(data), step):
        sounds = any(data[begin : begin + step])
        if found and found[-1][0] == sounds:
            found[-1] = (sounds, found[-1][1] + 5)
        else:
            found.append((sounds, 5))
    return found


def test_coming_up_is_one_long_beat_and_due_four_short_ones() -> None:
    ((sounds, length_ms),) = beats(State.COMING_UP)
    assert sounds
    assert length_ms == 700
    due = beats(State.DUE)
    assert [sounds for sounds, _ in due] == [True, False] * 3 + [True]
    assert all(length_ms <= 160 + FADE_MS for _, length_ms in due)


def test_late_sounds_as_due_does_and_nothing_is_longer_than_a_second_and_a_half() -> None:
    assert sound_of(State.LATE) == sound_of(State.DUE)
    for stage in (State.COMING_UP, State.DUE):
        assert sum(length_ms for _, length_ms in beats(stage)) < 1_500
        assert len(sound_of(stage)) < 40_000


def player(folder: Path, name: str, script: str) -> tuple[str, ...]:
    """A program in a folder that plays, or does not."""
    program = folder / name
    program.write_text(f"#!/bin/sh\n{script}\n", "utf-8")
    program.chmod(program.stat().st_mode | stat.S_IXUSR)
    return (str(program), "-q")


@REAL
def test_the_first_player_that_plays_gets_the_file_and_no_other(tmp_path: Path) -> None:
    broken = player(tmp_path, "broken", "exit 1")
    plays = player(tmp_path, "plays", f'cat "$2" > "{tmp_path}/heard.wav"')
    third = player(tmp_path, "third", f'touch "{tmp_path}/oops"')
    notifier = SoundNotifier(players=[("no-such-player",), broken, plays, third])
    assert notifier.is_possible()
    assert notifier.tone(State.COMING_UP) is Outcome.ACCEPTED
    assert (tmp_path / "heard.wav").read_bytes() == sound_of(State.COMING_UP)
    assert not (tmp_path / "oops").exists()


@REAL
def test_what_comes_of_no_player_a_broken_one_and_one_that_hangs(tmp_path: Path) -> None:
    none = SoundNotifier(players=[("no-such-player",)])
    assert not none.is_possible()
    assert none.tone(State.DUE) is Outcome.NO_BACKEND
    broken = SoundNotifier(players=[player(tmp_path, "broken", "exit 1")])
    assert broken.tone(State.DUE) is Outcome.FAILED
    hangs = SoundNotifier(players=[player(tmp_path, "hangs", "exec sleep 60")], limit_s=0.2)
    assert hangs.tone(State.DUE) is Outcome.TIMED_OUT


def test_it_shows_no_text() -> None:
    assert SoundNotifier(players=[]).text("title", "message") is Outcome.NO_BACKEND
