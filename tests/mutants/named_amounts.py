"""Named faults in amounts: too much for a dose, a plot or a soil, or litres that get lost."""

from tests.mutants.named import Named

_DOSING = "service/agronomy/dosing.py"
_REFUSALS = "service/agronomy/refusals.py"
_RULES = "service/agronomy/rules.toml"
_SEASON = "service/agronomy/season.py"
_SHARES = "service/agronomy/shares.py"
_WATER = "service/agronomy/watering.py"

NAMED_AMOUNTS: tuple[Named, ...] = (
    Named(
        name="three times the equal share in one dose",
        file=_RULES,
        old="times_equal_share = 2",
        new="times_equal_share = 3",
    ),
    Named(
        name="no cap on a dose",
        file=_SHARES,
        old="rounded(min(cap, remaining / (len(free) - place)))",
        new="rounded(remaining / (len(free) - place))",
    ),
    Named(
        name="refused only above 7 L a square metre",
        file=_RULES,
        old="refuse_litres_per_m2 = 6",
        new="refuse_litres_per_m2 = 7",
    ),
    Named(
        name="warned only above 4 L a square metre",
        file=_RULES,
        old="warn_litres_per_m2 = 3",
        new="warn_litres_per_m2 = 4",
    ),
    Named(
        name="twice the usual litres where no target is known",
        file=_RULES,
        old="litres_per_m2 = 1.5",
        new="litres_per_m2 = 3",
    ),
    Named(name="a legume fed", file=_REFUSALS, old="if crop.legume:", new="if False:"),
    Named(name="a perennial planned", file=_REFUSALS, old="if crop.perennial:", new="if False:"),
    Named(
        name="a flooded paddy fed",
        file=_REFUSALS,
        old="if crop.needs_drained and not drained:",
        new="if False:",
    ),
    Named(
        name="salty soil takes a full target",
        file=_SEASON,
        old="facts.litres_per_m2 * share",
        new="facts.litres_per_m2",
    ),
    Named(
        name="only salty soil is halved, not dry soil",
        file=_SEASON,
        old="1.0 if soil is Soil.NORMAL else",
        new="1.0 if soil is not Soil.SALTY else",
    ),
    Named(
        name="salty soil warned of as late as other soil",
        file=_SEASON,
        old="rules().warn_litres_per_m2 * share",
        new="rules().warn_litres_per_m2",
    ),
    Named(
        name="salty soil refused as late as other soil",
        file=_REFUSALS,
        old="rules().refuse_litres_per_m2 * share",
        new="rules().refuse_litres_per_m2",
    ),
    Named(
        name="amounts rounded up",
        file=_DOSING,
        old="floor(litres / step + _NOISE) * step",
        new="-floor(-(litres / step)) * step",
    ),
    Named(
        name="a pace above the plant's true share",
        file=_DOSING,
        old="if Fraction(cups, count) <= most",
        new="if Fraction(cups - 1, count) <= most",
    ),
    Named(
        name="a missed dose shared over the others",
        file=_SEASON,
        old="        told=facts.told_litres,\n",
        new="        told={n: l for n, l in facts.told_litres.items() if n not in facts.missed},\n",
    ),
    Named(
        name="a dropped dose's litres are lost",
        file=_SEASON,
        old="numbers=[slot.number for slot in live]",
        new="numbers=[slot.number for slot in slots]",
    ),
    Named(
        name="what is told is given a second time",
        file=_SHARES,
        old="rest = max(0.0, season_litres - _total(litres.values()))",
        new="rest = season_litres",
    ),
    Named(
        name="no shortfall told",
        file=_SHARES,
        old="shortfall_litres=max(0.0, season_litres - _total(litres.values()))",
        new="shortfall_litres=0.0",
    ),
    Named(
        name="one part of water in the dry season",
        file=_RULES,
        old="dry_least_ratio = 2",
        new="dry_least_ratio = 1",
    ),
    Named(
        name="dry ratio below 2 let through",
        file=_REFUSALS,
        old="if season is Season.DRY and ratio < least:",
        new="if season is Season.DRY and ratio < least - 1:",
    ),
    Named(
        name="what was chosen in the rains holds in the dry season too",
        file=_WATER,
        old="max(usual_water_ratio(season), chosen or 0.0)",
        new="usual_water_ratio(season) if chosen is None else chosen",
    ),
    Named(
        name="water takes nitrogen away",
        file=_DOSING,
        old="return n_kg_per_ha / (n_g_per_litre * _M2_PER_HECTARE / _GRAMS_PER_KG)",
        new="return n_kg_per_ha / (n_g_per_litre * _M2_PER_HECTARE)",
    ),
    Named(
        name="a plot at risk planned before anybody looked",
        file=_SEASON,
        old="if not facts.site_open:",
        new="if False:",
    ),
)
