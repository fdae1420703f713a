"""Plantings of which only days are known, each with its season's shape."""

from collections.abc import Hashable, Mapping
from dataclasses import dataclass, replace

from service.agronomy.crops import crop
from service.agronomy.refusals import check_area
from service.agronomy.season import SeasonFacts
from service.agronomy.season_end import SeasonDays, days_of
from service.agronomy.shape import Shape, is_plain, season_shape, shape_shares
from service.agronomy.shape_plan import check_bounds
from service.planning.season_facts import read_facts, season_facts
from service.records.bulk_looks import alike
from service.records.fields import FactKind
from service.records.plantings import PlantingBundle

_ONLY_DAYS = frozenset({FactKind.SOWN, FactKind.PUT_OFF, FactKind.EMERGED})


@dataclass(frozen=True, slots=True, kw_only=True)
class Shaped:
    """A planting with its season's shape.

    Attributes:
        base: the facts that it has in common with all plantings like it: not its days and area.
        litres: of the doses kept, by their place from 0.
    """

    bundle: PlantingBundle
    base: SeasonFacts
    days: SeasonDays
    shape: Shape
    litres: Mapping[int, float]

    @property
    def facts(self) -> SeasonFacts:
        """The facts of this planting."""
        days, area_m2 = self.days, self.bundle.plot.area_m2
        return replace(self.base, **days._asdict(), area_m2=area_m2)


def has_only_days(bundle: PlantingBundle) -> bool:
    """Say whether nothing but days was reported of a planting."""
    facts = bundle.facts
    return not facts or all(fact.kind in _ONLY_DAYS for fact in facts)


class ShapeBook:
    """The facts that plantings have in common, found once for all that are alike."""

    def __init__(self) -> None:
        self._bases: dict[Hashable, SeasonFacts] = {}

    def shaped(self, bundle: PlantingBundle) -> Shaped | None:
        """Return a planting with its shape, or None where it must be planned by itself.

        That is where more than days is known of it, or where its crop bears for years.

        Raises:
            RefusedError: as `plan_season`.
        """
        if not has_only_days(bundle) or crop(bundle.planting.crop).perennial:
            return None
        if bundle.doses or bundle.holds:
            return _by_itself(bundle)
        planting = bundle.planting
        base, planted_on, emerged_on = self._base(bundle), planting.planted_on, None
        if bundle.facts:
            told = read_facts(bundle)
            planted_on, emerged_on = told.planted_on, told.emerged_on
        days = SeasonDays(planted_on, emerged_on, planting.first_harvest_on, planting.season_days)
        check_area(bundle.plot.area_m2)
        return _shaped(bundle, base, days)

    def _base(self, bundle: PlantingBundle) -> SeasonFacts:
        key = alike(bundle)
        base = self._bases.get(key)
        if base is None:
            base = self._bases[key] = season_facts(bundle)
            check_bounds(base)
        return base


def _by_itself(bundle: PlantingBundle) -> Shaped | None:
    facts = season_facts(bundle)
    if not is_plain(facts):
        return None
    check_bounds(facts)
    return _shaped(bundle, facts, days_of(facts))


def _shaped(bundle: PlantingBundle, base: SeasonFacts, days: SeasonDays) -> Shaped:
    shape = season_shape(base, days)
    litres = shape_shares(shape, base, area_m2=bundle.plot.area_m2).litres
    return Shaped(bundle=bundle, base=base, days=days, shape=shape, litres=litres)
