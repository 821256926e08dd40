"""What to say now: due checks x what was said before. Pure.

Two channels. A tone may sound except off duty or in the sleeper: one at coming up, one at due,
then one more for each further 100 km driven late. A text is pushed only while on duty and not
driving, once for each stage and stop. Nothing is said twice; a prompt falls silent by itself.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from scheduler.due import DueCheck, State
from scheduler.progress import DutyStatus
from scheduler.recheck_rules import Kind


class Channel(StrEnum):
    """How something is said: to the ear, or to be read."""

    TONE = "tone"
    TEXT = "text"


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """One thing that was said, or was about to be. `outcome` None: not written down (yet)."""

    due_key: str
    stage: State
    channel: Channel
    number: int
    outcome: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Prompt:
    """One thing to say. `number`: for a text, the stop; for a tone, 1 and one more each 100 km."""

    due_key: str
    stage: State
    channel: Channel
    number: int

    @property
    def idem(self) -> str:
        """The name under which this can be recorded only once."""
        return f"{self.due_key}/{self.stage}/{self.channel}/{self.number}"


def prompts(
    due_checks: Sequence[DueCheck], said: Sequence[Said], duty: DutyStatus | None
) -> tuple[Prompt, ...]:
    """What to say now, in the order of the due checks, the tone before the text.

    `duty` is the status that decides what may be said in the vehicle; None: not known, then a
    tone may sound and a text is held back.
    """
    wanted: list[Prompt] = []
    for check in due_checks:
        before = [one for one in said if one.due_key == check.due_key]
        if may_be_said(Channel.TONE, duty):
            wanted.extend(_tone(check, before))
        if may_be_said(Channel.TEXT, duty):
            wanted.extend(_text(check, before))
    return tuple(wanted)


def may_be_said(channel: Channel, duty: DutyStatus | None) -> bool:
    """Whether a channel may be used in this duty status (None: not known)."""
    if channel is Channel.TEXT:
        return duty is DutyStatus.ON_DUTY
    return duty not in (DutyStatus.OFF_DUTY, DutyStatus.SLEEPER)


def still_wanted(prompt: Prompt, check: DueCheck) -> bool:
    """Whether a prompt raised earlier would still be the one to raise for this check."""
    if prompt.channel is Channel.TEXT:
        return prompt.stage is check.state and prompt.number == check.counter.stop_number
    if prompt.stage is State.COMING_UP:
        return check.state is State.COMING_UP
    return prompt.number == _tone_number(check)


def shown_before_driving(
    due_checks: Sequence[DueCheck], said: Sequence[Said]
) -> tuple[Prompt, ...]:
    """The text attempts that showing every due check makes, just before driving is recorded.

    Each check that is due or late has to be shown every time; a prompt is given for those whose
    text was not yet recorded at this stop.
    """
    return tuple(
        prompt
        for check in due_checks
        if check.is_due
        for prompt in _text(check, [one for one in said if one.due_key == check.due_key])
    )


def _text(check: DueCheck, before: Sequence[Said]) -> tuple[Prompt, ...]:
    """The text of this stage at this stop, unless it was said."""
    if check.state not in (State.COMING_UP, State.DUE, State.LATE):
        return ()
    prompt = _prompt(check, Channel.TEXT, check.counter.stop_number)
    return () if _was_said(prompt, before) else (prompt,)


def _tone(check: DueCheck, before: Sequence[Said]) -> tuple[Prompt, ...]:
    """The tone a check is still owed, if any.

    The numbers run on through due and late, so that a check that turns late right after its due
    tone stays silent until the next 100 km. Coming up has no tone once a later one was heard.
    """
    tones = [one for one in before if one.channel is Channel.TONE]
    if check.state is State.COMING_UP:
        return () if tones else (_prompt(check, Channel.TONE, 1),)
    number = _tone_number(check)
    heard = max((one.number for one in tones if one.stage is not State.COMING_UP), default=0)
    return (_prompt(check, Channel.TONE, number),) if number > heard else ()


def _tone_number(check: DueCheck) -> int:
    """Which tone the check has come to, counted from due on; 0: none.

    A duty change or load change has no tone while it is only due; an event has one when due and one
    when late.
    """
    if not check.is_due:
        return 0
    late = check.state is State.LATE
    match check.counter.kind:
        case Kind.DUTY_CHANGE | Kind.LOAD_CHANGE:
            first = 1 if late else 0
        case Kind.EVENT:
            first = 2 if late else 1
        case _:
            first = 1
    return first + check.further_tones


def _prompt(check: DueCheck, channel: Channel, number: int) -> Prompt:
    return Prompt(due_key=check.due_key, stage=check.state, channel=channel, number=number)


def _was_said(prompt: Prompt, before: Sequence[Said]) -> bool:
    return any(
        (one.stage, one.channel, one.number) == (prompt.stage, prompt.channel, prompt.number)
        for one in before
    )
