"""Finding vehicles by parts of words and by filters, on both databases."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from knowngood_refdata.drafts import ReadingDraft, SpecDraft, VehicleDraft
from knowngood_refdata.queries import finding, readings, vehicles
from knowngood_refdata.queries.filters import Choice, Filters, choices
from knowngood_refdata.queries.finding import find
from knowngood_refdata.queries.spec_edits import decide, review_spec
from knowngood_refdata.queries.vehicle_lines import marks
from knowngood_refdata.records import Conditions, SourceKind, Standing

if TYPE_CHECKING:
    from knowngood_refdata.records import Vehicle
    from knowngood_refdata.store import Store


def label(field: str, printed: str, value: float | None = None) -> SpecDraft:
    return SpecDraft(field, value, printed, SourceKind.UNDER_HOOD_LABEL, "label")


BOOK = SpecDraft("charge", 0.5, "500 g", SourceKind.SERVICE_INFORMATION, "book")
SKERRY = VehicleDraft(
    "Tarn", "Skerry", "1.6 petrol", 2021, 2023, market="north", family="small",
    specs=(label("refrigerant", "R-1234yf"), label("charge", "470 g", 0.47),
           label("compressor", "electric"), label("metering device", "orifice tube")),
)  # fmt: skip
FELL = VehicleDraft(
    "Arvik", "Fell", "2.0 diesel", 2004, 2008, market="south", family="large", maker="Arvik Works",
    specs=(label("refrigerant", "R-134a"), label("charge", "650 g", 0.65),
           label("compressor", "fixed displacement"), label("metering device", "expansion valve")),
)  # fmt: skip
WORDS = (
    "tarn",
    "arvik",
    "sker",
    "fell",
    "1.6",
    "2.0",
    "petrol",
    "diesel",
    "21",
    "2006",
    "e",
    "van",
    "7",
    "%",
    '"',
)


def models(store: Store, words: str = "", **filters: Any) -> list[str]:
    found = find(store, words, filters=Filters(**filters))
    return [one.model for one in found.lines]


def test_a_line_tells_what_a_list_shows(store: Store) -> None:
    number = vehicles.add_vehicle(store, replace(SKERRY, build_from="2021-07"))
    (line,) = find(store, "skerry").lines
    assert (line.id, line.refrigerant, line.charge) == (number, "R-1234yf", "470 g")
    assert (line.maker, line.family, line.build_from) == ("Tarn", "small", "2021-07")
    assert line.name == vehicles.vehicle(store, number).name


@pytest.mark.parametrize("words", ["ark", "1.6 tarn", "yf", "rry 22", "R-1234YF", "electr", "orifice"])
def test_any_part_of_a_word_will_do(store: Store, words: str) -> None:
    vehicles.add_vehicle(store, replace(SKERRY, body="Lark"))
    vehicles.add_vehicle(store, FELL)
    assert models(store, words) == ["Skerry"]


@pytest.mark.parametrize(
    "words", ['"', "'", "skerry OR fell", "sker*", "NEAR(tarn)", "-tarn", "___", "x" * 600]
)
def test_signs_mean_nothing_but_themselves(store: Store, words: str) -> None:
    vehicles.add_vehicle(store, SKERRY)
    vehicles.add_vehicle(store, FELL)
    assert models(store, words) == []


def test_a_sign_that_a_vehicle_has_is_found(store: Store) -> None:
    vehicles.add_vehicle(store, replace(SKERRY, engine='1.6 "eco" 50%'))
    vehicles.add_vehicle(store, FELL)
    assert models(store, '"eco"') == models(store, "50%") == ["Skerry"]


def test_the_list_is_in_order_and_says_when_there_is_more(store: Store) -> None:
    for model in ("Tor", "Fell", "Skerry"):
        vehicles.add_vehicle(store, replace(SKERRY, model=model))
    first = find(store, "tarn", limit=2)
    assert ([one.model for one in first.lines], first.more) == (["Fell", "Skerry"], True)
    assert not find(store, "tarn", limit=3).more


def test_vehicles_whose_make_begins_with_the_word_come_first(store: Store) -> None:
    vehicles.add_vehicle(store, replace(FELL, model="Tarnhow"))
    vehicles.add_vehicle(store, SKERRY)
    assert models(store, "tarn") == ["Skerry", "Tarnhow"]


@pytest.mark.parametrize(
    ("filters", "found"),
    [
        ({"maker": "Arvik Works"}, "Fell"), ({"make": "Tarn"}, "Skerry"), ({"family": "large"}, "Fell"),
        ({"market": "north"}, "Skerry"), ({"refrigerant": "R-134a"}, "Fell"), ({"year": 2006}, "Fell"),
        ({"compressor": "electric"}, "Skerry"), ({"metering": "expansion valve"}, "Fell"),
        ({"market": "north", "refrigerant": "R-134a"}, ""), ({"refrigerant": "R-134"}, ""),
    ],
)  # fmt: skip
def test_a_filter_keeps_those_that_meet_it(store: Store, filters: dict[str, Any], found: str) -> None:
    vehicles.add_vehicle(store, SKERRY)
    vehicles.add_vehicle(store, FELL)
    assert models(store, **filters) == ([found] if found else [])


def test_vehicles_with_known_good_readings_can_be_kept(store: Store) -> None:
    first, second = vehicles.add_vehicle(store, SKERRY), vehicles.add_vehicle(store, FELL)
    now = datetime(2024, 7, 1, tzinfo=UTC)
    good = ReadingDraft(first, None, None, now, Conditions(), 750.0, 1, {}, Standing.KNOWN_GOOD, "weighed in")
    readings.add(store, good)
    readings.add(store, replace(good, vehicle_id=second, standing=Standing.CANDIDATE))
    assert models(store, has_known_good=True) == ["Skerry"]


def test_unreviewed_vehicles_are_kept_until_the_last_value_is_reviewed(store: Store) -> None:
    number = vehicles.add_vehicle(store, replace(SKERRY, specs=SKERRY.specs[:2]))
    for one in (1, 2):
        assert models(store, unreviewed=True) == ["Skerry"]
        assert marks(store, [number]).unreviewed == {number}
        review_spec(store, one, 1)
    assert models(store, unreviewed=True) == []
    assert marks(store, [number]).unreviewed == frozenset()


def test_values_in_conflict_are_told_until_someone_decides(store: Store) -> None:
    number = vehicles.add_vehicle(store, SKERRY)
    vehicles.add_vehicle(store, FELL)
    assert models(store, in_conflict=True) == []
    book = vehicles.add_spec(store, number, BOOK)
    assert models(store, in_conflict=True) == ["Skerry"]
    assert marks(store, [number]).in_conflict == {number}
    decide(store, number, "charge", book, "label of another build date")
    assert models(store, in_conflict=True) == []


def test_a_weight_and_its_printed_conversion_are_no_conflict(store: Store) -> None:
    # 17.6 oz is 498.95 g by the exact factor 28.349523125 g/oz (NIST SP 811, appendix B.8).
    number = vehicles.add_vehicle(store, replace(SKERRY, specs=(BOOK,)))
    vehicles.add_spec(store, number, label("charge", "17.6 oz", 17.6 * 0.028349523125))
    assert models(store, in_conflict=True) == []


def test_filters_offer_what_the_library_holds(store: Store) -> None:
    vehicles.add_vehicle(store, SKERRY)
    vehicles.add_vehicle(store, replace(FELL, market=""))
    held = {one: choices(store, one) for one in Choice}
    assert held == {
        Choice.MAKER: ("Arvik Works", "Tarn"),
        Choice.MAKE: ("Arvik", "Tarn"),
        Choice.FAMILY: ("large", "small"),
        Choice.MARKET: ("north",),
        Choice.REFRIGERANT: ("R-1234yf", "R-134a"),
        Choice.COMPRESSOR: ("electric", "fixed displacement"),
        Choice.METERING: ("expansion valve", "orifice tube"),
    }


def test_whichever_way_is_taken_the_same_is_found(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """Rare words, common words and a list longer than the first stretch, each forced by its threshold."""
    for year in range(2000, 2020):
        vehicles.add_vehicle(store, replace(SKERRY, year_from=year, year_to=year + 2))
        vehicles.add_vehicle(store, replace(FELL, year_from=year, year_to=year + 2))

    held = [vehicles.vehicle(store, number) for number in range(1, 41)]

    @settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
    @given(
        words=st.lists(st.sampled_from(WORDS), max_size=3).map(" ".join),
        stretch=st.sampled_from([0, 3, 1500]),
        few=st.sampled_from([-1, 10, 2500]),
        limit=st.sampled_from([1, 7, 100]),
    )
    def compare(words: str, stretch: int, few: int, limit: int) -> None:
        monkeypatch.setattr(finding, "_STRETCH", stretch)
        monkeypatch.setattr(finding, "_FEW", few)
        assert [one.id for one in find(store, words, limit=limit).lines] == plainly(held, words)[:limit]

    compare()


def plainly(held: list[Vehicle], words: str) -> list[int]:
    """What is to be found, the plain way: every vehicle looked at in Python."""
    typed, years = words.split(), {"21": 2021, "2006": 2006}
    first = next((word for word in typed if word not in years), None)
    hits = []
    for one in held:
        own = (one.make, one.model, one.engine, one.market)
        values = (value.as_printed for name in one.specs if name != "charge" for value in one.specs[name])
        text = " ".join((*own, *values)).casefold()
        assert one.year_to is not None
        if all(word in text or one.year_from <= years.get(word, 0) <= one.year_to for word in typed):
            key = f"{one.make} {one.model} {one.year_from}".casefold()
            hits.append((first is not None and not key.startswith(first), key, one.id))
    return [number for *_, number in sorted(hits)]
