"""What becomes of real route strings with navigation data that hold only a part of what they name.

``python tests/benchmarks/real_routes.py ROUTES.csv NAVDATA ...`` prints a tally: how many resolve, and why not.
The routes are the table of preferred routes that the US government publishes (public domain).
"""

from __future__ import annotations

import collections
import csv
import datetime as dt
import pathlib
import re
import sys
from collections.abc import Iterator, Sequence

from legwise.errors import LegwiseError
from legwise.lessons import split_route_text
from legwise.model.lesson import Lesson
from legwise.model.navdata import NavData
from legwise.navdata import open_navdata
from legwise.plan import GivenRoute, make_plan

DATE = dt.date(2021, 1, 15)


def outcomes(routes: pathlib.Path, navdata: NavData) -> Iterator[tuple[str, str]]:
    """Each route string of a table with what became of it: "resolved", or the error as it is told."""
    with routes.open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            yield row["Route String"], outcome(row["Route String"], navdata)


def outcome(text: str, navdata: NavData) -> str:
    """What becomes of one route string."""
    try:
        elements = split_route_text(text, where="--route")
        make_plan(
            Lesson(), date=DATE, route=GivenRoute(text=text, elements=elements, source="--route"), navdata=navdata
        )
    except LegwiseError as error:
        return str(error)
    return "resolved"


def reason(told: str) -> str:
    """An error without its names: idents of two and more capitals and digits become X."""
    return re.sub(r"[A-Z0-9]{2,}", "X", told.split("\n", maxsplit=1)[0])


def main(arguments: Sequence[str]) -> None:
    """Print the tally for each file of navigation data, and an example of each reason."""
    for path in arguments[1:]:
        counts: collections.Counter[str] = collections.Counter()
        examples: dict[str, str] = {}
        for _, told in outcomes(pathlib.Path(arguments[0]), open_navdata(path)):
            counts[reason(told)] += 1
            examples.setdefault(reason(told), told)
        print(f"{path}: {counts.total()} routes")
        for why, count in counts.most_common():
            print(f"{count:6} {why}")
            if why != "resolved":
                print("       " + examples[why].replace("\n", "\n       "))


if __name__ == "__main__":
    main(sys.argv[1:])
