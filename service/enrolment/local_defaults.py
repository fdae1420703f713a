"""What the trade's tables say where no local figure stands. Pure."""

from dataclasses import dataclass

from service.agronomy.crops import crop
from service.agronomy.dosing import n_kg_per_ha
from service.agronomy.local import LocalKey
from service.agronomy.rules import rules
from service.agronomy.tables import Origin


@dataclass(frozen=True, slots=True, kw_only=True)
class TableFigure:
    """A figure as a table has it, written as a local one is, with its source."""

    value: str
    origin: Origin


def table_figure(key: LocalKey, crop_id: str | None) -> TableFigure | None:
    """Return the table's figure, or None where it is each crop's own and no crop is named."""
    general, origins = rules(), rules().origins
    match key:
        case LocalKey.PATTERN:
            days = ",".join(map(str, general.after_emergence_days))
            return TableFigure(value=days, origin=origins["pattern"])
        case LocalKey.N_G_PER_LITRE:
            value = f"{general.usual_g_per_litre:g}"
            return TableFigure(value=value, origin=origins["nitrogen"])
        case LocalKey.N_KG_PER_HA:
            # no target stands in the tables: this is what their amount carries at their content
            usual = n_kg_per_ha(
                litres_per_m2=general.litres_per_m2, n_g_per_litre=general.usual_g_per_litre
            )
            return TableFigure(value=f"{usual:g}", origin=origins["amount"])
        case _:
            return None if crop_id is None else _of_crop(key, crop_id)


def _of_crop(key: LocalKey, crop_id: str) -> TableFigure:
    row = crop(crop_id)
    value, group = {
        LocalKey.SEASON_DAYS: (row.season_days, "season"),
        LocalKey.EMERGENCE_DAYS: (row.emergence_days, "emergence"),
        LocalKey.FIRST_HARVEST_DAYS: (row.first_harvest_days, "first_harvest"),
        LocalKey.ROW_CM: (row.row_cm, "spacing"),
        LocalKey.PLANT_CM: (row.plant_cm, "spacing"),
    }[key]
    return TableFigure(value=str(value), origin=row.origins[group])
