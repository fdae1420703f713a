"""The words of the page of local figures: which there are, in which unit, and for what."""

from collections.abc import Mapping

from service.agronomy.local import LocalKey
from service.agronomy.season import Soil
from service.web.sentence import Sentence, sentence
from service.web.tongue import Tongue

LABELS: Mapping[str, Sentence] = {
    "key": sentence("Which figure?"),
    "crop": sentence("For which crop?"),
    "value": sentence("The figure here"),
    "source": sentence("Where does it come from?"),
    "area_id": sentence("For which area?"),
    "soil": sentence("For which ground?"),
}
KEYS: Mapping[LocalKey, Sentence] = {
    LocalKey.SEASON_DAYS: sentence("Days from planting to the end of the harvest"),
    LocalKey.EMERGENCE_DAYS: sentence("Days until most plants are up"),
    LocalKey.FIRST_HARVEST_DAYS: sentence("Days from planting to the first picking"),
    LocalKey.ROW_CM: sentence("Centimetres between rows"),
    LocalKey.PLANT_CM: sentence("Centimetres between plants in the row"),
    LocalKey.N_KG_PER_HA: sentence("Nitrogen for the season, kg a hectare"),
    LocalKey.N_G_PER_LITRE: sentence("Nitrogen in the urine, g a litre"),
    LocalKey.PATTERN: sentence("Days of the doses, counted from plants up"),
}
SOILS: Mapping[Soil, Sentence] = {
    Soil.NORMAL: sentence("normal ground"),
    Soil.SALTY: sentence("salty ground"),
    Soil.DRY: sentence("ground dry all season"),
}


def value_words(key: LocalKey, value: str, tongue: Tongue) -> Sentence:
    """Return a figure with its unit, as the language writes numbers."""
    match key:
        case LocalKey.ROW_CM | LocalKey.PLANT_CM:
            return sentence("%(number)s cm", number=float(value))
        case LocalKey.N_KG_PER_HA:
            return sentence("%(number)s kg a hectare", number=float(value))
        case LocalKey.N_G_PER_LITRE:
            return sentence("%(number)s g a litre", number=float(value))
        case LocalKey.PATTERN:
            days = ", ".join(tongue.number(int(day)) for day in value.split(","))
            return sentence("%(days)s days", days=days)
        case LocalKey.SEASON_DAYS | LocalKey.EMERGENCE_DAYS | LocalKey.FIRST_HARVEST_DAYS:
            return sentence("%(days)s days", days=float(value))
