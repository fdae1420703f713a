"""The texts inside texts: tips, paces, lists, and how each field of a text finds its own."""

SMALL_TEXTS: dict[str, frozenset[str]] = {
    "what.plain": frozenset(),
    "what.discreet": frozenset(),
    "can.any": frozenset(),
    "can.one": frozenset({"n"}),
    **{f"tip.{number}": frozenset[str]() for number in range(1, 10)},
    "tip.dose_rain.6": frozenset(),
    "tip.can": frozenset({"n"}),
    "short.young": frozenset({"order"}),
    "short.halve": frozenset(),
    "short.last": frozenset(),
    "short.collect": frozenset(),
    "per.none": frozenset(),
    "per.cup.plant": frozenset(),
    "per.cup.plants": frozenset({"m"}),
    "per.cups.plant": frozenset({"n"}),
    "per.cups.plants": frozenset({"n", "m"}),
    "per.cup.pace": frozenset(),
    "per.cup.paces": frozenset({"m"}),
    "per.cups.pace": frozenset({"n"}),
    "per.cups.paces": frozenset({"n", "m"}),
    "per.cap.plant": frozenset(),
    "per.cap.plants": frozenset({"m"}),
    "per.caps.plant": frozenset({"n"}),
    "per.caps.plants": frozenset({"n", "m"}),
    "per.cap.pace": frozenset(),
    "per.cap.paces": frozenset({"m"}),
    "per.caps.pace": frozenset({"n"}),
    "per.caps.paces": frozenset({"n", "m"}),
    "cost.free": frozenset(),
    "cost.sms": frozenset(),
    "list": frozenset({"first", "rest"}),
    "job": frozenset({"code", "urine", "water"}),
    "job.unsure": frozenset({"code", "urine", "water"}),
    "job.neat": frozenset({"code", "urine"}),
    "job.neat.unsure": frozenset({"code", "urine"}),
    "jobs.list": frozenset({"first", "rest"}),
    "jobs.home": frozenset({"label", "jobs"}),
    "jobs.homes": frozenset({"first", "rest"}),
}
"""The texts inside texts, with their fields. A crop's short name is `crop.` and its id."""

CARRIERS: dict[str, tuple[str, ...]] = {
    "what": ("what.",),
    "can": ("can.",),
    "tip": ("tip.",),
    "per": ("per.",),
    "advice": ("short.", "list"),
    "cost": ("cost.",),
    "plots": ("list",),
    "order": ("list",),
    "codes": ("list",),
    "jobs": ("job",),
}
"""Which small texts a field prints with, by how their names begin."""


def carried_by(fields: frozenset[str]) -> frozenset[str]:
    """Return the small texts without which a language cannot print these fields."""
    starts = tuple(start for field in fields for start in CARRIERS.get(field, ()))
    return frozenset(name for name in SMALL_TEXTS if name.startswith(starts))
