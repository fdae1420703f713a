"""Why the calculator answers as it does: the plan's own reasons, its cans and its cautions."""

from service.agronomy.cautions import cautions
from service.agronomy.explain import explain
from service.agronomy.grounds import Figure, Grounds
from service.agronomy.reasons import About, Chain, Explanation, RuleId, Subject, by_rule
from service.agronomy.rules import rules
from service.agronomy.stock_chain import RestAsk, explain_can, explain_rest
from service.cli.plan_answer import PlanAnswer


def explain_answer(answer: PlanAnswer) -> Explanation:
    """Return the reasons of an answer, subject by subject, in its order."""
    ask = RestAsk(
        regime=answer.regime,
        regime_told=answer.request.regime is not None,
        store_c=answer.request.store_c,
    )
    chains = dict(explain(answer.facts, answer.plan, _grounds(answer)).chains)
    chains[Subject(about=About.CAN_REST)] = explain_rest(ask)
    for number, can in enumerate(answer.cans, start=1):
        chains[Subject(about=About.CAN_READY, number=number)] = explain_can(ask, can.sealed_on)
    for number, text in enumerate(answer.cautions, start=1):
        chains[Subject(about=About.CAUTION, number=number)] = _caution(text)
    return Explanation(chains=chains)


def _grounds(answer: PlanAnswer) -> Grounds:
    request = answer.request
    target = request.n_kg_per_ha
    return Grounds(
        area_told=request.area_told,
        n_kg_per_ha=None if target is None else Figure(value=target, origin=None),
        n_g_per_litre=Figure(
            value=request.n_g_per_litre,
            origin=None if request.content_told else rules().origins["nitrogen"],
        ),
        season=request.season,
        season_told=request.season_told,
    )


def _caution(text: str) -> Chain:
    caution = next(caution for caution in cautions() if caution.text == text)
    return (by_rule(RuleId.CAUTION, caution.origin, id=caution.id),)
