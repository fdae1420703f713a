"""The kinds of message: which values each takes, how long it may be, and how it is treated.

A kind is one row here and its texts in each `locales/<code>/texts.po`. The texts of a kind are
named after it: `dose`, `dose.shared` for a phone that households share, `refuse.none` where there
is no next day, `repeat.can` where the can must be named, `collect.neutral` for a home that wants
nothing told. The texts inside texts stand in `small_texts`.
"""

from dataclasses import dataclass, field
from enum import StrEnum

DAYS = frozenset({"day", "ready", "next", "since", "until", "harvest"})
SUBSTANCE_AND_CROP = frozenset({"what", "crop"})


class Trait(StrEnum):
    """What sets a kind apart."""

    CORE = "core"  # a reminder the season hangs on: never more than its segments
    NATIVE_READ = "native-read"  # an amount, a date or a hold: a native speaker must have read it
    BEYOND_LIMITS = "beyond-limits"  # exempt from the day's and the dose's limits
    ANSWER = "answer"  # answers a grower's own text, so it goes at any hour
    TWO_VERSIONS = "two-versions"  # says plainly what is collected, so it has a neutral text too


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """One kind of message. `optional` names the values that may be null."""

    name: str
    fields: frozenset[str]
    optional: frozenset[str] = frozenset()
    max_segments: int = 1
    traits: frozenset[Trait] = field(default_factory=frozenset[Trait])

    @property
    def core(self) -> bool:
        """Whether the season hangs on it."""
        return Trait.CORE in self.traits

    @property
    def needs_native_read(self) -> bool:
        """Whether it waits until a native speaker has read it."""
        return Trait.NATIVE_READ in self.traits

    @property
    def beyond_limits(self) -> bool:
        """Whether it is exempt from the limits of texts a day and a dose."""
        return Trait.BEYOND_LIMITS in self.traits

    @property
    def answer(self) -> bool:
        """Whether it answers a grower's own text."""
        return Trait.ANSWER in self.traits

    @property
    def shared_variant(self) -> bool:
        """Whether a shared phone needs a text of its own, without crop and substance."""
        return bool(self.fields & SUBSTANCE_AND_CROP)

    @property
    def neutral_variant(self) -> bool:
        """Whether wording that is not plain needs a text of its own."""
        return Trait.TWO_VERSIONS in self.traits

    def text_ids(self) -> dict[str, frozenset[str]]:
        """Return every text of this kind with the fields it must name."""
        names = {self.name: self.fields}
        if unknown_days := self.optional & DAYS:
            names[f"{self.name}.none"] = self.fields - unknown_days
        if "can" in self.optional and "tip" not in self.fields:
            names[f"{self.name}.can"] = self.fields | {"can"}
        if self.neutral_variant:
            names |= {f"{name}.neutral": fields for name, fields in names.items()}
        if not self.shared_variant:
            return names
        for name, fields in tuple(names.items()):
            if name.endswith(".can"):
                continue  # the shared text names the can, or "the can", always
            can = {"can"} if "can" in self.optional else set()
            names[f"{name}.shared"] = fields - SUBSTANCE_AND_CROP | can
        return names


def _kind(
    name: str, fields: str, traits: str = "", *, optional: str = "", max_segments: int = 1
) -> Kind:
    return Kind(
        name=name,
        fields=frozenset(fields.split()),
        optional=frozenset(optional.split()),
        max_segments=max_segments,
        traits=frozenset(Trait(trait) for trait in traits.split()),
    )


DOSE = "day crop plot urine what water per tip code"
DOSE_RAIN = "day crop plot urine what per tip code"
WHY = "plot next since harvest phone"

KINDS: dict[str, Kind] = {
    kind.name: kind
    for kind in (
        _kind("consent", "group cost"),
        _kind("welcome", "group plots phone", "answer"),
        _kind("collect", "n day", "native-read two-versions", optional="day"),
        _kind("seal_by", "n day", "native-read"),
        _kind("too_late", "plot code day", "native-read"),
        _kind("sealed", "n day wait ready", "native-read answer", optional="ready"),
        _kind("ready", "n wait what order", "native-read"),
        _kind("short", "plot short advice", "native-read"),
        _kind("season_opens", "plot crop", "native-read"),
        _kind("plant_q", "crop plot"),
        _kind("emerge_q", "crop plot", "core"),
        _kind("dose", DOSE, "core native-read", optional="can"),
        _kind("dose_rain", DOSE_RAIN, "core native-read", optional="can"),
        _kind("dose_assumed", DOSE.replace(" tip", ""), "core native-read", optional="can"),
        _kind(
            "dose_rain_assumed", DOSE_RAIN.replace(" tip", ""), "core native-read", optional="can"
        ),
        _kind(
            "repeat", "plot crop k urine what water code phone", "core native-read", optional="can"
        ),
        _kind(
            "repeat_rain", "plot crop k urine what code phone", "core native-read", optional="can"
        ),
        _kind("digest", "day what jobs", "core native-read", optional="can", max_segments=2),
        _kind("digest_rain", "day what jobs", "core native-read", optional="can", max_segments=2),
        _kind("no_can", "code day plot ready", "native-read", optional="ready"),
        _kind("to_neat", "order", "native-read"),
        _kind("to_water", "order ratio", "native-read"),
        _kind("r_done", "code day plot next", "native-read answer"),
        _kind("r_notdone", "code until phone", "native-read answer"),
        _kind("r_late", "code day next", "native-read answer"),
        _kind("r_again", "code day", "native-read answer"),
        _kind("r_sown", "crop plot day next", "native-read answer", optional="next"),
        _kind("r_up", "plot day next", "native-read answer", optional="next"),
        _kind("r_rain", "code plot next", "native-read answer", optional="next"),
        _kind("r_harvest", "plot day", "native-read answer"),
        _kind("r_why", "plot next harvest phone", "native-read answer", optional="next"),
        *(
            _kind(f"r_why_{reason}", WHY, "native-read answer")
            for reason in ("planting", "up", "assumed", "rain", "burn", "gap", "stock")
        ),
        _kind("r_burn", "plot what phone", "native-read answer"),
        _kind("burn_on", "plot code day", "native-read", optional="day"),
        _kind("r_unready", "code plot harvest phone", "native-read answer"),
        _kind("refuse", "plot given max next phone", "native-read answer", optional="next"),
        _kind("last", "code crop plot what harvest", "core native-read answer"),
        _kind("harvest_ok", "plot crop wait", "core native-read"),
        _kind("harvest_early", "plot harvest phone", "core native-read beyond-limits answer"),
        _kind("season_result", "plot crop done of litres", "native-read"),
        _kind("rain_hold", "codes", "core native-read beyond-limits"),
        _kind("withdrawn", "code plot phone", "native-read beyond-limits"),
        _kind("moved", "code day urine what water plot", "native-read"),
        _kind("moved_rain", "code day urine what plot", "native-read"),
        _kind("stop_ok", "group phone", "beyond-limits answer"),
        _kind("help", "phone", "answer"),
        _kind("unread", "", "answer"),
        _kind("join_ok", "group phone", "answer"),
        _kind("danger", "phone", "native-read beyond-limits answer"),
    )
}

TEXT_FIELDS: dict[str, frozenset[str]] = {
    name: fields for kind in KINDS.values() for name, fields in kind.text_ids().items()
}
"""Every text of every kind, with the fields it must name, no more and no fewer."""
