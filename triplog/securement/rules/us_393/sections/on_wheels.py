"""The count of a vehicle or machine carried as cargo: so many tie-downs, of whatever kind."""

from triplog.securement.finding import Finding, Step
from triplog.securement.model import Article, Plan
from triplog.securement.rules.us_393.commodity import commodity_inputs
from triplog.securement.rules.us_393.sections.kinds import Asked, exactly, kinds_finding
from triplog.securement.rules.us_393.sections.limits import printed_number


def wheeled_count(
    section: str, article: Article, plan: Plan, figure_id: str, step: str, *notes: Step
) -> Finding:
    """`us-<section>-count`: the printed number `figure_id` of tie-downs on the article."""
    asked = Asked(
        rule=f"us-{section}-count",
        clause=section,
        about=(article.id,),
        kinds=(exactly(printed_number(figure_id), step),),
        inputs=commodity_inputs(article),
        notes=notes,
    )
    return kinds_finding(asked, plan.tie_downs_on(article.id), plan)
