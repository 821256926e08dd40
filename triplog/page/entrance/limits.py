"""How often a wrong code may be typed. Pure but for what it remembers.

After five wrong ones the next try from the same address waits, longer each time, up to a minute:
nobody is shut out, and no other address waits. Paired browsers are never held back here, and the
128-bit token of a QR code is not guessed, so it is not held back either. After fifty wrong ones in
all, the codes that stand are withdrawn: then a new one is drawn at the computer.
"""

from collections import OrderedDict
from dataclasses import dataclass, field

from triplog.page.entrance.book import CODE_TRIES_MAX

_FREE_TRIES = 5
_LONGEST_WAIT_MS = 60_000
_ADDRESSES_MAX = 1_000


def wait_ms(wrong: int) -> int:
    """How long the next try waits after so many wrong ones: 2 s, 4 s, 8 s ... a minute."""
    beyond = wrong - _FREE_TRIES
    return 0 if beyond < 0 else min(2_000 * 2 ** min(beyond, 5), _LONGEST_WAIT_MS)


@dataclass(slots=True)
class WrongCodes:
    """The wrong codes typed since the start, by address."""

    _by_address: OrderedDict[str, tuple[int, int]] = field(default_factory=OrderedDict)
    _in_all: int = 0

    def must_wait_ms(self, address: str, now_ms: int) -> int:
        """How long an address has to wait before its next try; 0: not at all."""
        wrong, last_ms = self._by_address.get(address, (0, now_ms))
        return max(0, last_ms + wait_ms(wrong) - now_ms)

    def wrong(self, address: str, now_ms: int) -> bool:
        """Count a wrong code; True: the codes that stand are to be withdrawn."""
        wrong, _ = self._by_address.pop(address, (0, 0))
        self._by_address[address] = (wrong + 1, now_ms)
        while len(self._by_address) > _ADDRESSES_MAX:
            self._by_address.popitem(last=False)
        self._in_all += 1
        return self._in_all % CODE_TRIES_MAX == 0

    def right(self, address: str) -> None:
        """Forget an address that has typed a right one."""
        self._by_address.pop(address, None)
