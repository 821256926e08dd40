"""What a commodity section is to the rules around it."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from triplog.securement.finding import Finding
from triplog.securement.model import Article, Plan
from triplog.securement.rules.groups import Group


def _not_counted_generally(_article: Article, _plan: Plan) -> bool:
    return False


def _no_share_of_its_own(_group: Group, _plan: Plan) -> Finding | None:
    return None


def _apart(_articles: tuple[Article, ...]) -> Iterable[tuple[str, ...]]:
    return ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """One of 393.116 to 393.136.

    `findings` judges all articles of the plan that the section takes, but for the aggregate.
    `general_count` says whether 393.110 counts an article too. `aggregate` is the section's own
    finding about the combined rating of a group, None where 393.106(d) holds; it is asked of
    groups in which the section takes every article. `joined` names articles that are one group
    though no tie-down holds them together.
    """

    number: str
    findings: Callable[[tuple[Article, ...], Plan], tuple[Finding, ...]]
    general_count: Callable[[Article, Plan], bool] = _not_counted_generally
    aggregate: Callable[[Group, Plan], Finding | None] = _no_share_of_its_own
    joined: Callable[[tuple[Article, ...]], Iterable[tuple[str, ...]]] = _apart
