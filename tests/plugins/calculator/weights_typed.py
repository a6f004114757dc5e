"""What is typed into the cards of the section of weights, and the vehicle in hand beside it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood_refdata.records import SourceKind, SpecValue, Vehicle

if TYPE_CHECKING:
    from knowngood_calculator.panels.weights_section import WeightsSection


def vehicle(charge_kg: float, *, number: int = 1, kind: SourceKind = SourceKind.UNDER_HOOD_LABEL) -> Vehicle:
    gas = SpecValue(1, "refrigerant", None, None, "R-1234yf", SourceKind.UNDER_HOOD_LABEL, "label")
    printed = f"{1e3 * charge_kg:.0f} ± 15 g"
    charge = SpecValue(2, "charge", charge_kg, 0.015, printed, kind, "photograph of the label")
    specs = {"refrigerant": (gas,), "charge": (charge,)}
    return Vehicle(number, "Tarn", "Skerry", "1.6 petrol", 2021, 2023, specs=specs)


def label(section: WeightsSection, charge: str = "450 g", tolerance: str = "20 g") -> None:
    section.charge.charge.setText(charge)
    section.charge.tolerance.setText(tolerance)


def weigh(section: WeightsSection, before: str, after: str) -> None:
    section.charge.before.setText(before)
    section.charge.after.setText(after)


def hose(section: WeightsSection) -> None:
    section.hoses.length.setText("1.8 m")
    section.hoses.bore.setText("4.8 mm")


def cylinder(section: WeightsSection, now: str = "") -> None:
    for edit, text in (
        (section.cylinder.capacity, "47.6 lb"),
        (section.cylinder.tare, "28 lb"),
        (section.cylinder.now, now),
    ):
        edit.setText(text)
