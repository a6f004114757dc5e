"""Where a record can hurt someone: each caution is given when it must be, and not when it need not."""

from __future__ import annotations

from dataclasses import replace

import pytest

from knowngood_refdata.records import CompressorKind, SourceKind, SpecValue, Vehicle
from knowngood_specs.core.cautions import Caution, cautions
from knowngood_specs.core.fields import FIELDS, Section


def value(field: str, text: str, si: float | None = None, **more: object) -> SpecValue:
    made = SpecValue(1, field, si, None, text, SourceKind.UNDER_HOOD_LABEL, "label")
    return replace(made, **more)  # type: ignore[arg-type]


def car(*values: SpecValue, evaporators: str = "single evaporator", number: int = 1) -> Vehicle:
    specs: dict[str, tuple[SpecValue, ...]] = {}
    for one in values:
        specs[one.field] = (*specs.get(one.field, ()), one)
    return Vehicle(number, "Tarn", "Skerry", "1.6 petrol", 2021, 2023, evaporators=evaporators, specs=specs)


ELECTRIC = value("compressor", CompressorKind.ELECTRIC)
CHARGE = value("charge", "470 ± 15 g", 0.47, tolerance=0.015)


def words(found: tuple[Caution, ...]) -> str:
    return " ".join(one.words for one in found)


def test_a_complete_ordinary_record_gives_no_caution() -> None:
    record = car(CHARGE, value("refrigerant", "R-1234yf"), value("oil", "PAG 46, 120 mL"))
    assert cautions(record) == ()


@pytest.mark.parametrize(
    ("specs", "told"),
    [
        ((ELECTRIC, value("oil", "PAG 46, 120 mL")), "nothing on record says that the maker approves"),
        ((ELECTRIC,), "without an oil on record"),
        (
            (ELECTRIC, value("oil", "POE, 120 mL"), value("oil approved for electric compressor", "no")),
            "not approved for this electric compressor",
        ),
    ],
)
def test_an_electric_compressor_asks_for_the_makers_oil(specs: tuple[SpecValue, ...], told: str) -> None:
    # Trade press: belt-drive oil in an electric compressor; a maker prints PAG on a plug-in hybrid, so the
    # grade alone condemns nothing.
    assert told in words(cautions(car(*specs)))


def test_an_oil_that_the_maker_approves_for_it_is_left_alone() -> None:
    approved = value("oil approved for electric compressor", "yes")
    assert cautions(car(ELECTRIC, value("oil", "PAG, 120 mL"), approved)) == ()
    assert cautions(car(ELECTRIC, value("oil", "POE RB68, 120 mL"))) == ()


def test_a_refrigerant_other_than_the_labels_is_named() -> None:
    label = value("refrigerant", "R-1234yf")
    book = value("refrigerant", "r134a", source_kind=SourceKind.SERVICE_INFORMATION)
    found = cautions(car(label, book))
    assert "the label says R-1234yf, another source R-134a" in words(found)
    assert cautions(car(label, replace(book, as_printed="HFO-1234yf"))) == ()


def test_the_charge_of_a_dual_evaporator_car_is_noticed_on_a_single_one() -> None:
    # A maker's service manual: 960 g without and 1,360 g with a rear unit.
    with_rear = value("charge", "1360 g", 1.36)
    dual = car(with_rear, evaporators="dual evaporator", number=2)
    assert "rear unit takes some 40 percent more" in words(cautions(car(with_rear), [dual]))
    assert cautions(car(value("charge", "960 g", 0.96)), [dual]) == ()
    assert cautions(dual, [car(with_rear)]) == ()
    told_by_source = value("charge", "1360 g", 1.36, citation="manual, with rear unit")
    assert "its source speaks of a rear unit" in words(cautions(car(told_by_source)))


def test_a_tolerance_tighter_than_the_scale_is_named() -> None:
    tight = value("charge", "470 ± 10 g", 0.47, tolerance=0.010)
    assert "tighter than the scale" in words(cautions(car(tight)))
    assert cautions(car(tight), scale_limit_kg=0.002) == ()
    assert cautions(car(value("charge", "470 g", 0.47))) == ()


def test_a_retrofit_needs_its_label() -> None:
    changed = (value("original refrigerant", "R-12"), value("refrigerant", "R-134a"))
    assert "without a retrofit label" in words(cautions(car(*changed)))
    assert cautions(car(*changed, value("retrofit label", "on the car"))) == ()
    assert "without a retrofit label" in words(cautions(car(*changed, value("retrofit label", "missing"))))


def test_every_caution_names_its_basis_and_its_field() -> None:
    worst = car(
        ELECTRIC, value("oil", "PAG 46"), value("original refrigerant", "R-12"),
        value("refrigerant", "R-134a"),
        value("refrigerant", "R-1234yf", source_kind=SourceKind.BULLETIN),
        value("charge", "1360 ± 5 g", 1.36, tolerance=0.005, citation="with rear unit"),
    )  # fmt: skip
    found = cautions(worst)
    assert len(found) == 5
    known = {field.name for field in FIELDS}
    assert all(one.basis and one.field in known for one in found)


def test_fields_stand_in_the_order_of_their_sections() -> None:
    order = [list(Section).index(field.section) for field in FIELDS]
    assert order == sorted(order)
    assert len({field.name for field in FIELDS}) == len(FIELDS)
