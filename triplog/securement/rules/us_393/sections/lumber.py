"""Bundles of lumber as a plan tells them: stacks, tiers, and the tie-downs over each bundle."""

from dataclasses import dataclass
from typing import Literal, get_args

from triplog.securement.model import Article, Plan, TieDown
from triplog.securement.rules.us_393.sections.facts import count_fact, word_fact

Way = Literal["stakes", "blocking", "direct", "spacers", "each tier"]
WAYS: tuple[Way, ...] = get_args(Way)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stack:
    """Bundles that stand on each other, from the deck up; an article may be several tiers."""

    bundles: tuple[Article, ...]

    @property
    def ids(self) -> tuple[str, ...]:
        """The bundles' ids."""
        return tuple(one.id for one in self.bundles)

    @property
    def way(self) -> Way | None:
        """How the tiers are held (393.118(d)); None where no bundle tells."""
        told = [word_fact(one, "tiers_held") for one in self.bundles]
        return next((way for way in WAYS if way in told), None)

    @property
    def tiers(self) -> int:
        """How many tiers the stack has."""
        return max(self.first_tier(one) + tiers_of(one) - 1 for one in self.bundles)

    def first_tier(self, bundle: Article) -> int:
        """The tier a bundle stands in, or the lowest it takes; 1 is on the deck."""
        below = next((one for one in self.bundles if one.id == bundle.on), None)
        return 1 if below is None else self.first_tier(below) + tiers_of(below)

    def in_tier(self, tier: int) -> tuple[Article, ...]:
        """The bundles of one tier."""
        return tuple(one for one in self.bundles if self.first_tier(one) == tier)

    def carries(self, bundle: Article) -> tuple[str, ...]:
        """The ids of the bundles above one, directly or further up."""
        above = [one for one in self.bundles if one.on == bundle.id]
        return tuple(name for one in above for name in (one.id, *self.carries(one)))

    def over(self, bundle: Article, plan: Plan) -> tuple[TieDown, ...]:
        """The tie-downs that lie over a bundle: they hold it and nothing above it."""
        above = self.carries(bundle)
        holding = plan.tie_downs_on(bundle.id)
        return tuple(one for one in holding if not set(above).intersection(one.holds))


def tiers_of(bundle: Article) -> int:
    """How many tiers an article takes; a bundle is one unless it says more."""
    return count_fact(bundle, "tiers") or 1


def stacks_of(articles: tuple[Article, ...]) -> tuple[Stack, ...]:
    """The bundles by the stacks they make, in the plan's order."""
    leader = {one.id: one.id for one in articles}
    for one in articles:
        if one.on in leader:
            old, new = leader[one.id], leader[one.on]
            leader = {name: new if led == old else led for name, led in leader.items()}
    leaders = dict.fromkeys(leader[one.id] for one in articles)
    return tuple(
        Stack(bundles=tuple(one for one in articles if leader[one.id] == led)) for led in leaders
    )
