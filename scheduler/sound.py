"""A tone where there is no bell: a short sound of our own, through this machine's player.

Coming up and due are told apart by rhythm, not by pitch: high tones are the first that hard work
beside engines takes from the ear.
"""

import array
import importlib
import io
import math
import shutil
import subprocess
import sys
import tempfile
import wave
from collections.abc import Callable, Sequence
from pathlib import Path

from scheduler.due import State
from scheduler.notify import Outcome

RATE = 16_000
PITCH_HZ = 880
LOUD = 20_000
"""Of 32,767; the rest is left to the player's own volume."""
FADE_MS = 8
"""Faded in and out, so that no beat clicks."""

RHYTHMS: dict[State, tuple[tuple[int, int], ...]] = {
    State.COMING_UP: ((700, 0),),
    State.DUE: ((160, 110), (160, 110), (160, 110), (160, 0)),
}
"""Milliseconds of sound and of silence after it: one long beat; four short ones."""

PLAYERS = (("pw-play",), ("paplay",), ("aplay", "-q"), ("afplay",))
LIMIT_S = 5.0


def sound_of(stage: State) -> bytes:
    """The sound for a stage, as a WAV file; late sounds as due does."""
    samples = array.array("h")
    for sounding_ms, silent_ms in RHYTHMS.get(stage, RHYTHMS[State.DUE]):
        count, fade = RATE * sounding_ms // 1000, RATE * FADE_MS // 1000
        samples.extend(
            round(
                LOUD
                * min(1.0, place / fade, (count - place) / fade)
                * math.sin(2 * math.pi * PITCH_HZ * place / RATE)
            )
            for place in range(count)
        )
        samples.extend([0] * (RATE * silent_ms // 1000))
    if sys.byteorder == "big":
        samples.byteswap()
    file = io.BytesIO()
    with wave.open(file, "wb") as sound:
        sound.setnchannels(1)
        sound.setsampwidth(2)
        sound.setframerate(RATE)
        sound.writeframes(samples.tobytes())
    return file.getvalue()


class SoundNotifier:
    """A sound through the first player here that plays it; it shows no text.

    `players`: commands that are given the file; None: those of this system. `limit_s`: the longest
    wait for one.
    """

    name = "sound"

    def __init__(
        self, *, players: Sequence[Sequence[str]] | None = None, limit_s: float = LIMIT_S
    ) -> None:
        self._players = PLAYERS if players is None else players
        self._memory = _windows_player() if players is None else None
        self._limit_s = limit_s

    def is_possible(self) -> bool:
        """Whether there is any player here."""
        return self._memory is not None or any(shutil.which(one[0]) for one in self._players)

    def tone(self, stage: State, /) -> Outcome:
        """Play it; NO_BACKEND where there is no player, else what came of the last one tried."""
        sound = sound_of(stage)
        if self._memory is not None:
            return self._memory(sound)
        came = Outcome.NO_BACKEND
        with tempfile.TemporaryDirectory(prefix="triplog-") as folder:
            file = Path(folder) / "tone.wav"
            file.write_bytes(sound)
            for player in self._players:
                program = shutil.which(player[0])
                if program is None:
                    continue
                came = self._play([program, *player[1:], str(file)])
                if came is not Outcome.FAILED:
                    break
        return came

    def text(self, _title: str, _message: str) -> Outcome:
        """Left to another notifier."""
        return Outcome.NO_BACKEND

    def _play(self, command: Sequence[str]) -> Outcome:
        try:
            done = subprocess.run(
                command,
                stdin=subprocess.DEVNULL,
                stdout=subprocess.DEVNULL,
                stderr=subprocess.DEVNULL,
                timeout=self._limit_s,
                check=False,
            )
        except subprocess.TimeoutExpired:
            return Outcome.TIMED_OUT
        except OSError:
            return Outcome.FAILED
        return Outcome.ACCEPTED if done.returncode == 0 else Outcome.FAILED


def _windows_player() -> Callable[[bytes], Outcome] | None:
    """The player of that system, from memory; None on others. Not tried by us."""
    if sys.platform != "win32":
        return None
    winsound = importlib.import_module("winsound")

    def play(sound: bytes) -> Outcome:
        try:
            winsound.PlaySound(sound, winsound.SND_MEMORY)
        except RuntimeError:
            return Outcome.FAILED
        return Outcome.ACCEPTED

    return play
