"""What is known of one article before any direction is looked at."""

from dataclasses import dataclass

from triplog.securement.finding import Basis, Input, Step
from triplog.securement.model import Article, Plan
from triplog.securement.quantity import Quantity
from triplog.securement.rules.en_12195.en_figures import en_figure
from triplog.securement.rules.en_12195.friction import Friction, friction_of
from triplog.securement.rules.en_12195.lashings import Lashings, lashings_on
from triplog.securement.rules.masses import MASS_BASIS


@dataclass(frozen=True, slots=True, kw_only=True)
class Facts:
    """An article with its friction and its lashings, and the inputs every finding names."""

    article: Article
    plan: Plan
    friction: Friction
    lashings: Lashings

    @property
    def inputs(self) -> tuple[Input, ...]:
        """Mass, friction, k, and what is known of each lashing."""
        told = self.plan.assumptions.transmission_k
        k = Input(
            name="transmission_k",
            about="plan",
            value=f"{en_figure('k'):g}" if told is None else f"{told:f}",
            basis=Basis.DEFAULT_TABLE if told is None else Basis.STATED,
        )
        lashed = (each for one in self.lashings.counted for each in one.inputs)
        return tuple(dict.fromkeys((_mass(self.article), self.friction.input, k, *lashed)))

    @property
    def notes(self) -> tuple[Step, ...]:
        """What is to be said of friction and lashings beside sliding, in every direction."""
        of_each = (note for one in self.lashings.counted for note in one.notes)
        return (*self.notes_on_tipping, *of_each)

    @property
    def notes_on_tipping(self) -> tuple[Step, ...]:
        """The same without each lashing's label, tension and anchor points: said with sliding."""
        assumed = [
            one.name for one in self.lashings.counted if one.route is not None and one.route.assumed
        ]
        places = (Step(id="note.en-route-assumed", values={"names": ", ".join(assumed)}),)
        return (
            *self.friction.steps,
            *self.lashings.notes,
            *(places if assumed else ()),
        )


def facts_of(article: Article, plan: Plan) -> Facts:
    """The facts of an article."""
    return Facts(
        article=article,
        plan=plan,
        friction=friction_of(article, plan),
        lashings=lashings_on(article, plan),
    )


def _mass(article: Article) -> Input:
    value: Quantity | None = article.mass
    basis = Basis.UNKNOWN if value is None else MASS_BASIS[article.mass_basis]
    return Input(name="mass", about=article.id, value=value, basis=basis)
