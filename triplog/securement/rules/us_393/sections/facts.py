"""The facts of an article that its section asks for, each by its kind; None is not known."""

from triplog.securement.finding import Basis, Input, Missing
from triplog.securement.model import Article
from triplog.securement.quantity import Quantity


def length_fact(article: Article, name: str) -> Quantity | None:
    """A length or other quantity."""
    value = article.facts.get(name)
    assert value is None or isinstance(value, Quantity), name
    return value


def count_fact(article: Article, name: str) -> int | None:
    """A whole number of things."""
    value = article.facts.get(name)
    assert value is None or (isinstance(value, int) and not isinstance(value, bool)), name
    return value


def yes_fact(article: Article, name: str) -> bool | None:
    """True or false."""
    value = article.facts.get(name)
    assert value is None or isinstance(value, bool), name
    return value


def word_fact(article: Article, name: str) -> str | None:
    """One of the words the fact may be."""
    value = article.facts.get(name)
    assert value is None or isinstance(value, str), name
    return value


def fact_inputs(article: Article, *names: str) -> tuple[Input, ...]:
    """The facts as they went in, those not known too."""
    inputs = []
    for name in names:
        value = article.facts.get(name)
        inputs.append(
            Input(
                name=f"facts.{name}",
                about=article.id,
                value=("yes" if value else "no") if isinstance(value, bool) else value,
                basis=Basis.UNKNOWN if value is None else Basis.STATED,
            )
        )
    return tuple(inputs)


def told_inputs(article: Article, *names: str) -> tuple[Input, ...]:
    """Those of the facts that are told."""
    return fact_inputs(article, *(name for name in names if name in article.facts))


def missing_facts(article: Article, *names: str) -> tuple[Missing, ...]:
    """The facts among these that are not known."""
    return tuple(
        Missing(field=f"facts.{name}", about=article.id)
        for name in names
        if name not in article.facts
    )
