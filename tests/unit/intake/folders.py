"""Small association folders for tests, each valid until a test changes one cell."""

import csv
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime
from pathlib import Path
from typing import TypeVar

from sqlalchemy import column, func, select

from service.intake.entries import Folder
from service.intake.faults import Fault, IntakeError
from service.intake.folder import read_folder
from service.intake.rules import Rules
from service.intake.store import IntakeResult, store_folder
from service.messages.words import Words
from service.records.base import Base
from service.records.engine import Session, Sessions, open_engine

Table = TypeVar("Table", bound=Base)

TODAY = date(2027, 2, 22)
NOW = datetime(2027, 2, 22, 7, 0, tzinfo=UTC)
LATER = datetime(2027, 4, 20, 7, 0, tzinfo=UTC)

RULES = Rules(
    # possible by their length, in no assigned range
    test_numbers=frozenset(f"+2551000000{last:02d}" for last in range(1, 100)),
    allowed_countries=("TZ", "KE"),
    languages=("en", "sw"),
    words=(
        Words(
            keywords=frozenset({"STOP"}),
            swallowed=frozenset({"tea"}),
            revealing=frozenset({"urine"}),
        ),
    ),
    today=TODAY,
)

FILES = {
    "association.csv": """\
code,name,zone,country,language,phone,cost,store_c
demo,Invented Growers,Africa/Dar_es_Salaam,TZ,sw,+255100000090,SMS: TSh 0.,24
""",
    "areas.csv": """\
code,name
N,North
S,South
""",
    "households.csv": """\
code,area,alias,label,adults,children,eats,language,word,discreet,remind_at,needs_call,cup_ml
H1,N,Big Tree,Tree,2,1,general,sw,,no,,no,
H2,N,Blue Door,Door,1,0,own-household,sw,,yes,17:30,no,300
H3,S,Stone Wall,Wall,3,2,,en,green mix,yes,19:59,yes,
""",
    "phones.csv": """\
number,households,language
0100 000 001,H1;H2,sw
255100000002,H3,en
""",
    "consents.csv": """\
number,household,asked_on,asked_by,wording
+255100000001,,2027-02-10,coordinator north,May we text you?
+255100000002,H3,2027-02-11,coordinator south,May we text you?
""",
    "plots.csv": """\
household,code,letter,area_m2,soil
H1,P1,A,100,normal
H2,P1,D,40.5,salty
H3,P1,A,60,dry
""",
    "plantings.csv": """\
household,plot,code,crop,planted_on,season,water_ratio,litres_per_m2,season_days,\
first_harvest_on,transplanted,emerged_on
H1,P1,2027-1,maize-grain,2027-03-15,rains,,,,,,
H2,P1,2027-1,tomato,2027-02-01,dry,3,1.2,120,2027-05-01,yes,2027-02-08
H3,P1,2027-1,sunflower,2027-03-20,rains,,,,,no,
""",
    "containers.csv": """\
household,number,litres,longer_rest,opened_on,sealed_on,refilled_on,emptied_on
H1,1,20,no,2026-12-20,2027-01-10,,
H2,2,10,no,2026-12-20,2027-01-10,2027-01-20,
H3,1,20,yes,,2026-08-01,,
""",
}


def a_folder(path: Path, **changed: str) -> Path:
    """Write a valid folder; a keyword such as `plots` replaces that file's text."""
    folder = path / "association"
    folder.mkdir(exist_ok=True)
    for name, text in FILES.items():
        given = changed.get(name.removesuffix(".csv"), text)
        (folder / name).write_text(given, encoding="utf-8")
    return folder


def set_cell(folder: Path, file: str, row: int, column: str, value: str) -> None:
    """Change one cell; rows count from 1, the header."""
    with (folder / file).open(encoding="utf-8", newline="") as lines:
        table = list(csv.reader(lines))
    table[row - 1][table[0].index(column)] = value
    with (folder / file).open("w", encoding="utf-8", newline="") as lines:
        csv.writer(lines).writerows(table)


def add_row(folder: Path, file: str, *cells: str) -> None:
    """Put one more row at the end of a file."""
    with (folder / file).open("a", encoding="utf-8", newline="") as lines:
        csv.writer(lines).writerow(cells)


def faults_of(folder: Path, rules: Rules = RULES) -> tuple[Fault, ...]:
    """Return the faults that reading tells, none where the folder is right."""
    try:
        read_folder(folder, rules)
    except IntakeError as error:
        return error.faults
    return ()


def places(faults: tuple[Fault, ...]) -> list[tuple[str, int, str]]:
    """Return where the faults are."""
    return [(fault.file, fault.row, fault.column) for fault in faults]


@contextmanager
def a_database(path: Path) -> Iterator[Sessions]:
    """Give a SQLite file with all tables, closed at the end."""
    engine = open_engine(f"sqlite:///{path / 'records.db'}")
    Base.metadata.create_all(engine)
    try:
        yield Sessions(engine)
    finally:
        engine.dispose()


def rows_of(session: Session, table: type[Table]) -> list[Table]:
    """Return the rows of a table, oldest first."""
    return list(session.scalars(select(table).order_by(column("id"))))


def table_sizes(session: Session) -> dict[str, int]:
    """Return how many rows each table has."""
    return {
        table.name: session.execute(select(func.count()).select_from(table)).scalar_one()
        for table in Base.metadata.sorted_tables
    }


def store(sessions: Sessions, folder: Folder, *, now: datetime = NOW) -> IntakeResult:
    """Store a folder in a transaction of its own."""
    with sessions.begin() as session:
        return store_folder(session, folder, now=now, who="coordinator")
