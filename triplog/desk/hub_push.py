"""Bringing this journal to the hub it is paired with, and what the office wrote back with it.

However often it is cut off or repeated, the hub holds each entry once. No lock of the journal is
held while anything is on the way.
"""

from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass, field, replace
from functools import partial
from typing import Any

from triplog.desk.desk import Desk
from triplog.desk.hub_batches import last_place, packed_after, place_of
from triplog.desk.hub_line import HubAway, HubLine, TurnedAway
from triplog.desk.hub_pairing import Pairing, pairing_of
from triplog.desk.hub_state import HubState, keep_state, state_of
from triplog.desk.hub_taking import SOURCE, record_signed, signed_head, take_from_office
from triplog.desk.refused import Refused
from triplog.desk.taking_in import fork_is_recorded
from triplog.journal.batch import Answer, Batch, Place
from triplog.journal.checkpoint import Signed
from triplog.journal.entries import time_text
from triplog.journal.store import Writing
from triplog.wording.hub import set_back_line

NOT_PAIRED = "this journal is paired with no hub; at the hub a code is drawn, for triplog pair"
_SAME = "the hub asks for what it was given already; it is tried again later"


@dataclass(slots=True, kw_only=True)
class Brought:
    """What came of one chain.

    `sent`: how many entries the hub holds more; `held`: the last one it holds that is ours too,
    None: none. `outcome` is that of an answer; *refused* with `why` where it was not taken.
    `theirs`: the hub's last entry of it, where it is not ours.
    """

    device: str
    sent: int = 0
    held: Place | None = None
    outcome: str = "taken"
    theirs: Place | None = None
    why: str | None = None


@dataclass(slots=True, kw_only=True)
class Pushed:
    """What came of a push. `own`: of this device's chain; `former`: of those it brought along.

    `came`: how many entries of the office are new here; `signed`: over how many entries the hub has
    signed our head, None: over none now; `trouble`: what went wrong beside, in words.
    """

    carrier: str
    own: Brought
    former: list[Brought] = field(default_factory=list)
    came: int = 0
    signed: int | None = None
    trouble: list[str] = field(default_factory=list)

    @property
    def is_whole(self) -> bool:
        """Whether all went well."""
        return self.own.outcome == "taken" and not self.trouble


def push(
    desk: Desk,
    *,
    is_asked: bool = True,
    is_stopped: Callable[[], bool] = lambda: False,
) -> Pushed:
    """Bring all that the hub does not hold yet.

    `is_asked`: somebody asked for it, so what the hub did not take of former devices is tried once
    more; `is_stopped`: asked between batches. Raises Refused (not paired, or not let in), HubAway,
    and StoreUnusable; what the hub has taken by then it holds.
    """
    pairing = pairing_of(desk)
    if pairing is None:
        raise Refused(NOT_PAIRED)
    by_itself = replace(desk, via="program", key=None, again=True)
    with closing(HubLine(pairing.reached)) as line:
        pushing = _Pushing(by_itself, pairing, partial(line.push, pairing.secret), is_stopped)
        return pushing.everything(is_asked)


def former_devices(desk: Desk, state: HubState) -> list[str]:
    """The devices whose chains this journal went on from, apart from the office's."""
    restored = desk.store.entries("kind = 'store_restored'")
    named = {device: None for entry in restored for device in _from_heads(entry.body)}
    kept = set(state.office) | {desk.store.device}
    return [device for device in named if device not in kept and desk.store.head(device)]


def _from_heads(body: dict[str, object]) -> list[str]:
    heads = body.get("from_heads")
    return list(heads) if isinstance(heads, dict) else []


class _Pushing:
    """One push under way."""

    def __init__(
        self,
        desk: Desk,
        pairing: Pairing,
        send: Callable[[bytes], Answer],
        is_stopped: Callable[[], bool],
    ) -> None:
        self._desk = desk
        self._pairing = pairing
        self._send = send
        self._is_stopped = is_stopped
        self._own = desk.store.device
        self._takes_in = True
        self.came_of = Pushed(carrier=pairing.carrier, own=Brought(device=self._own))

    def everything(self, is_asked: bool) -> Pushed:
        """The former devices' chains first, so that what the hub says last is of our own."""
        for device in former_devices(self._desk, self._state):
            is_held = self._state.heads.get(device) == last_place(self._desk, device)
            if not is_held and (is_asked or device not in self._state.put_off):
                self.came_of.former.append(self._former(device))
        self._bring(self.came_of.own)
        if self.came_of.own.outcome == "forked":
            self._record_fork()
        return self.came_of

    @property
    def _state(self) -> HubState:
        return state_of(self._desk, self._pairing)

    def _former(self, device: str) -> Brought:
        """A former device's chain; where the hub does not take it, our own goes on all the same."""
        one = Brought(device=device)
        try:
            self._bring(one)
        except TurnedAway as problem:
            one.outcome, one.why = "refused", str(problem)
        if one.outcome != "taken":
            self._change(put_off={**self._state.put_off, device: one.why or one.outcome})
        return one

    def _bring(self, one: Brought) -> None:
        """Bring one chain up to its end here, or to where the hub does not go along."""
        place = self._state.heads.get(one.device) or last_place(self._desk, one.device)
        seen: set[tuple[str, Place | None]] = set()
        while not self._is_stopped():
            end, packed = packed_after(self._desk, self._empty(one, place), self._state.opened)
            answer = self._send(packed)
            last = last_place(self._desk, one.device)
            outcome, head = answer.outcome, answer.head
            if outcome != "taken" and (outcome, place) in seen:
                raise HubAway(_SAME)
            seen.add((outcome, place))
            if outcome == "taken":
                place = self._taken(one, place, head)
            elif outcome == "resume":
                place = self._back_to(one.device, place, answer)
            elif outcome == "behind" and head is not None and self._is_ours(one.device, head):
                place = head
            elif outcome == "behind" and end != last:
                place = end
            else:
                one.outcome, one.theirs = outcome, head
                self._parted(one, answer)
            one.held = place
            more = self._keep(one, answer, place)
            is_end = outcome == "taken" and place == last_place(self._desk, one.device)
            if one.outcome != "taken" or (is_end and not more):
                return

    def _empty(self, one: Brought, place: Place | None) -> Batch:
        desk, office = self._desk, self._state.office
        heads = {device: desk.store.head(device) for device in office}
        return Batch(
            device=one.device,
            after=place,
            sent_ms=int(desk.now().wall.timestamp() * 1000),
            known={device: Place(*head) for device, head in heads.items() if head is not None},
        )

    def _taken(self, one: Brought, before: Place | None, head: Place | None) -> Place | None:
        """Where the hub's chain ends now, which has to be an entry of ours."""
        if head is not None and not self._is_ours(one.device, head):
            raise HubAway("the answer of the hub does not fit this journal")
        ends = [-1 if one is None else one.seq for one in (before, head)]
        one.sent += max(ends[1] - ends[0], 0)
        return head

    def _is_ours(self, device: str, place: Place) -> bool:
        return place_of(self._desk, device, place.seq) == place

    def _back_to(self, device: str, tried: Place | None, answer: Answer) -> Place | None:
        """The latest place both have; None: there is none, so from the beginning.

        Where the hub had more before, as it said itself, that is told; it is brought again.
        """
        found = next((one for one in answer.earlier if self._is_ours(device, one)), None)
        if tried is not None and tried == self._state.heads.get(device):
            self._trouble(set_back_line(device, tried, found))
        return found

    def _parted(self, one: Brought, answer: Answer) -> None:
        """Keep where another history begins, as far as the hub tells places in it."""
        ours = [(place_of(self._desk, one.device, there.seq), there) for there in answer.earlier]
        apart = [there for here, there in ours if here is not None and here != there]
        if one.outcome == "forked" and apart:
            one.theirs = min(apart)

    def _keep(self, one: Brought, answer: Answer, place: Place | None) -> bool:
        """Keep what an answer tells and take in what it brings; whether more waits there."""
        signed = None
        if answer.signed_note is not None and one.device == self._own:
            try:
                signed = signed_head(self._desk, self._pairing, answer.signed_note)
            except Refused as problem:
                self._trouble(problem)
        with self._desk.writing(whatever_came=True) as writing:
            state = self._state
            heads, own = dict(state.heads), self.came_of.own
            if answer.outcome == "taken" and place is not None:
                heads[one.device] = place
            keep_state(
                self._desk,
                replace(
                    state,
                    heads=heads,
                    opened=answer.opened,
                    heard=time_text(writing.reading.wall),
                    outcome=own.outcome,
                    theirs=own.theirs,
                    put_off={key: why for key, why in state.put_off.items() if key != one.device},
                ),
            )
            if signed is not None:
                self._record_signed(writing, signed)
        return self._take_in(answer)

    def _record_signed(self, writing: Writing, signed: Signed) -> None:
        try:
            record_signed(self._desk, writing, self._pairing, signed)
        except Refused as problem:
            self._trouble(problem)
        else:
            self.came_of.signed = signed.checkpoint.size

    def _take_in(self, answer: Answer) -> bool:
        """Take in what the office wrote; where that fails it is told, and pushing goes on."""
        if not answer.entries or not self._takes_in:
            return False
        try:
            taken = take_from_office(self._desk, answer)
        except Refused as problem:
            self._takes_in = False
            self._trouble(problem)
            return False
        self.came_of.came += taken.new
        known = self._state.office
        office = tuple(dict.fromkeys((*known, *taken.devices)))
        if office != known:
            self._change(office=office)
        return answer.more

    def _record_fork(self) -> None:
        """Say once in our own chain that the hub holds another history of it."""
        desk, there = self._desk, self.came_of.own.theirs
        here = None if there is None else place_of(desk, self._own, there.seq)
        if there is None or here is None:
            return
        if fork_is_recorded(desk, self._own, there.seq, there.hash):
            return
        body = {"of": self._own, "seq": there.seq, "held": here.hash, "other": there.hash}
        desk.record(desk.draft("fork_found", {**body, "source": SOURCE}))

    def _change(self, **changed: Any) -> None:
        with self._desk.writing(whatever_came=True):
            keep_state(self._desk, replace(self._state, **changed))

    def _trouble(self, problem: Exception | str) -> None:
        if str(problem) not in self.came_of.trouble:
            self.came_of.trouble.append(str(problem))
