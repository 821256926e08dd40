"""How this machine hands messages to the offices of the carriers: a file beside the hub's key.

As on a device it stands in no database: what is copied or restored brings no command along.
"""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from shutil import which

from scheduler.office_hook import CommandHook, FolderHook, Hook
from triplog.desk.refused import Refused
from triplog.hub.call_hook import AddressRefused, CallHook, refuse_address
from triplog.hub.carriers import Carrier, hub_key
from triplog.journal.entries import Clock
from triplog.journal.store_file import write_durably

SETTING = "hub-ways-out.json"


@dataclass(frozen=True, slots=True)
class WaysOut:
    """The ways out of this machine. `home`: where the setting and the hub's key lie."""

    home: Path
    clock: Clock

    def by_carrier(self) -> dict[str, Hook]:
        """The way of each carrier that has one here. Raises Refused where that cannot be read."""
        return {carrier: self._hook(carrier, told) for carrier, told in self._settings().items()}

    def set(
        self,
        carrier: Carrier,
        *,
        command: Sequence[str] = (),
        folder: Path | None = None,
        address: str | None = None,
    ) -> Hook | None:
        """Set a carrier's way out; none of the three: it has none any more. Raises Refused."""
        if sum((bool(command), folder is not None, address is not None)) > 1:
            raise Refused("name one way out: a command, a folder or an address")
        settings = {} if self._is_broken() else self._settings()
        settings.pop(carrier.id, None)
        if command:
            program = which(command[0])
            if program is None:
                raise Refused(f"there is no program {command[0]!r} here that can be run")
            settings[carrier.id] = {"command": [str(Path(program).absolute()), *command[1:]]}
        elif folder is not None:
            if not folder.is_dir():
                raise Refused(f"there is no folder {folder}; make it, or name another")
            settings[carrier.id] = {"folder": str(folder.absolute())}
        elif address is not None:
            try:
                refuse_address(address)
            except AddressRefused as problem:
                raise Refused(str(problem)) from problem
            settings[carrier.id] = {"address": address}
        write_durably(self.home / SETTING, json.dumps(settings, indent=1).encode(), 0o600)
        own = settings.get(carrier.id)
        return None if own is None else self._hook(carrier.id, own)

    def key_of(self, carrier: str) -> str:
        """What a carrier's office checks calls with. Raises Refused where there is no key here."""
        return hub_key(self.home, carrier, carrier).text

    def _is_broken(self) -> bool:
        """Whether no way stands in it that could be kept."""
        try:
            self._settings()
        except Refused:
            return True
        return False

    def _settings(self) -> dict[str, dict[str, object]]:
        path = self.home / SETTING
        try:
            found = json.loads(path.read_text("utf-8"))
        except FileNotFoundError:
            return {}
        except (OSError, ValueError) as problem:
            raise Refused(f"{path} cannot be read: {problem}; set the ways out anew") from problem
        if not isinstance(found, dict) or not all(isinstance(v, dict) for v in found.values()):
            raise Refused(f"{path} holds no ways out; set them anew")
        return found

    def _hook(self, carrier: str, told: dict[str, object]) -> Hook:
        match told:
            case {"command": [*command]} if command and all(isinstance(w, str) for w in command):
                return CommandHook(tuple(map(str, command)))
            case {"folder": str(folder)}:
                return FolderHook(Path(folder))
            case {"address": str(address)}:
                return CallHook(address, hub_key(self.home, carrier, carrier), self.clock)
        raise Refused(f"{self.home / SETTING} names a way out that is none; set it anew")
