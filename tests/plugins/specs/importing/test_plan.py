"""The dry run: what becomes of each row, and that nothing on record is replaced."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from knowngood_refdata.records import SourceKind
from knowngood_specs.core.importing.existing import ExistingIndex
from knowngood_specs.core.importing.plan import Outcome
from knowngood_specs.core.importing.planning import plan
from knowngood_specs.core.importing.proposal import propose
from knowngood_specs.core.importing.reader import read_rows

from .charge_list import HEADER, LABEL, SKERRY, only

if TYPE_CHECKING:
    from knowngood_specs.core.importing.amounts import ReadQuantity

    from .conftest import Planned


def test_a_row_of_a_new_vehicle_adds_it_with_its_values_and_their_source(planned: Planned) -> None:
    row = only(planned(f"{HEADER}Tarn;Rill;electric;2022;single;600 ± 20 g;label;photo of 3 May\n"))
    assert row.outcome is Outcome.ADDED
    assert row.vehicle_id is None
    (addition,) = planned(
        f"{HEADER}Tarn;Rill;electric;2022;single;600 ± 20 g;label;photo of 3 May\n"
    ).additions()
    assert addition.vehicle is not None
    assert (addition.vehicle.year_from, addition.vehicle.year_to) == (2022, 2022)
    assert addition.vehicle.evaporators == "single evaporator"
    (spec,) = addition.vehicle.specs
    assert (spec.field, spec.as_printed, spec.source_kind, spec.citation) == (
        "charge", "600 ± 20 g", LABEL, "photo of 3 May",
    )  # fmt: skip
    assert spec.value == pytest.approx(0.6)
    assert spec.tolerance == pytest.approx(0.02)


def test_the_same_value_from_another_source_goes_beside_those_on_record(planned: Planned) -> None:
    done = planned(f"{HEADER}Tarn;Skerry;1.6 petrol;2021-2023;single;470 g;manual;section 82\n", [SKERRY])
    row = only(done)
    assert row.outcome is Outcome.CHANGED
    assert row.reason == "Adds charge 470 g (book) beside 470 ± 15 g."
    (addition,) = done.additions()
    assert (addition.vehicle_id, addition.vehicle) == (7, None)
    assert [one.citation for one in addition.specs] == ["section 82"]


def test_a_charge_that_differs_from_the_label_is_doubted_and_stays_out_until_it_is_accepted(
    planned: Planned,
) -> None:
    done = planned(f"{HEADER}Tarn;Skerry;1.6 petrol;2021-2023;single;500 g;manual;section 82\n", [SKERRY])
    row = only(done)
    assert row.outcome is Outcome.DOUBTED
    assert row.reason == "The charge 500 g (book) differs from 470 ± 15 g (label) on record."
    assert done.additions() == ()
    (addition,) = done.additions({row.number: None})
    assert (addition.vehicle_id, [one.as_printed for one in addition.specs]) == (7, ["500 g"])


def test_a_source_that_says_two_things_is_doubted(planned: Planned) -> None:
    row = only(
        planned(f"{HEADER}Tarn;Skerry;1.6 petrol;2021-2023;single;480 g;label;photographed\n", [SKERRY])
    )
    assert row.outcome is Outcome.DOUBTED
    assert "The same source says charge 470 ± 15 g on record, the row 480 g." in row.reason


@pytest.mark.parametrize(
    ("line", "words"),
    [
        (";Skerry;;2021;;470 g;label;x", "No make."),
        ("Tarn;;;2021;;470 g;label;x", "No model."),
        ("Tarn;Skerry;;;;470 g;label;x", "No model year."),
        ("Tarn;Skerry;;3021;;470 g;label;x", "3021 is no model year"),
        ("Tarn;Skerry;;2021;;0 g;label;x", "no charge weight of a vehicle"),
        ("Tarn;Skerry;;2021;;50 kg;label;x", "no charge weight of a vehicle"),
        ("Tarn;Skerry;;2021;;1.1;label;x", "no unit"),
        ("Tarn;Skerry;;2021;;470 stone;label;x", "no unit of mass"),
        ("Tarn;Skerry;;2023-2021;;470 g;label;x", "end before they begin"),
        ("Tarn;Skerry;;2021;;470 g;hearsay;x", "'hearsay' is no kind of source"),
        ("x" * 300 + ";Skerry;;2021;;470 g;label;x", "300 characters"),
        ("Tarn;Skerry;;2021;;470 g;label;x;y;z", "10 cells where the table has 8"),
    ],
)
def test_a_row_that_cannot_be_used_is_refused_with_its_reason(
    line: str, words: str, planned: Planned
) -> None:
    good = "Fen;Harrier;2.0 diesel;2017;;680 g;label;y\nFen;Plover;2.0 diesel;2017;;690 g;label;y\n"
    row = planned(f"{HEADER}{good}{line}\n").rows[2]
    assert row.outcome is Outcome.REFUSED
    assert words in row.reason
    assert (row.number, row.specs) == (4, ())


def test_every_reason_against_a_row_is_said_at_once(planned: Planned) -> None:
    row = only(planned(f"{HEADER};Skerry;;3021;;0 g;label;x\n"))
    assert len(row.reasons) == 3


def test_a_row_adds_every_value_that_it_holds(planned: Planned) -> None:
    done = planned(
        "Make;Model;Year;Charge (g);Refrigerant;Oil;Fan\nTarn;Rill;2022;600;R134a;PAG 46;one stage\n"
    )
    (addition,) = done.additions()
    assert addition.vehicle is not None
    assert [(one.field, one.as_printed) for one in addition.vehicle.specs] == [
        ("charge", "600 g"),
        ("refrigerant", "R-134a"),
        ("oil", "PAG 46"),
        ("fan", "one stage"),
    ]


def test_one_line_a_value_gathers_a_vehicle(planned: Planned) -> None:
    done = planned(
        "Make;Model;Years;Field;Value;Source kind;Citation;Page\n"
        "Tarn;Rill;2022;Charge weight;600 g;label;photo;\n"
        "Tarn;Rill;2022;Refrigerant;r1234yf;label;photo;\n"
        "Tarn;Rill;2022;belt length;1200 mm;bulletin;SB 9;4\n"
    )
    (addition,) = done.additions()
    assert addition.vehicle is not None
    assert [(one.field, one.as_printed, one.page) for one in addition.vehicle.specs] == [
        ("charge", "600 g", ""),
        ("refrigerant", "R-1234yf", ""),
        ("belt length", "1200 mm", "4"),
    ]


def test_empty_names_of_a_record_are_filled_and_differing_ones_doubted(planned: Planned) -> None:
    header = "Make;Model;Engine;Years;Evaporators;System family;Maker;Notes\n"
    done = planned(f"{header}Tarn;Skerry;1.6 petrol;2021-23;single;system S2;Tarn;belt squeals\n", [SKERRY])
    (addition,) = done.additions()
    assert addition.details == {"family": "system S2"}
    assert addition.notes == ("belt squeals",)
    row = only(planned(f"{header}Tarn;Skerry;1.6 petrol;2021-23;single;;Fen works;\n", [SKERRY]))
    assert (row.outcome, row.reason) == (
        Outcome.DOUBTED,
        "The record says maker 'Tarn', the row 'Fen works'.",
    )


def test_markup_in_a_cell_stays_what_it_is(planned: Planned) -> None:
    row = only(planned(f"{HEADER}<b>Tarn</b>;Skerry & co;;2021;;470 g;label;<script>x</script>\n"))
    assert row.vehicle is not None
    assert (row.vehicle.make, row.vehicle.model) == ("<b>Tarn</b>", "Skerry & co")
    assert row.specs[0].citation == "<script>x</script>"


def test_a_name_above_counts_for_empty_cells_only_when_asked(read: ReadQuantity) -> None:
    table = read_rows(b"Make;Model;Year\nTarn;Skerry;2021\n;Rill;2022\n", "list.csv")
    mapping = propose(table).mapping
    refused = plan(table, mapping, ExistingIndex(), read, this_year=2026)
    assert refused.counts[Outcome.REFUSED] == 1
    filling = mapping.using(0, mapping.of(0).meaning, fill_down=True)
    done = plan(table, filling, ExistingIndex(), read, this_year=2026)
    assert [row.what for row in done.rows] == ["Tarn Skerry, 2021", "Tarn Rill, 2022"]


def test_values_without_a_kind_of_source_are_refused_until_one_is_chosen(read: ReadQuantity) -> None:
    table = read_rows(b"Make;Model;Year;Charge (g)\nTarn;Skerry;2021;470\n", "list.csv")
    mapping = propose(table).mapping
    (row,) = plan(table, mapping, ExistingIndex(), read, this_year=2026).rows
    assert "No kind of source" in row.reason
    chosen = mapping.from_source("generic", "the shop's list", "2019")
    (row,) = plan(table, chosen, ExistingIndex(), read, this_year=2026).rows
    (spec,) = row.specs
    assert (spec.source_kind, spec.citation, spec.revision) == (
        SourceKind.GENERIC, "the shop's list", "2019",
    )  # fmt: skip


def test_the_report_has_a_line_for_every_row_and_the_counts_add_up(planned: Planned) -> None:
    done = planned(f"{HEADER}Tarn;Rill;;2022;;600 g;label;x\n;;;;;;;\nTarn;;;2022;;600 g;label;x\n")
    assert [(line.row, line.outcome) for line in done.report()] == [(2, "added"), (4, "refused")]
    assert sum(done.counts.values()) == 2
    assert set(done.counts) == set(Outcome)


def test_what_the_progress_raises_to_stop_passes_through(read: ReadQuantity) -> None:
    def stop(done: float) -> None:
        raise InterruptedError

    table = read_rows(b"Make;Model;Year\nTarn;Skerry;2021\n", "list.csv")
    with pytest.raises(InterruptedError):
        plan(table, propose(table).mapping, ExistingIndex(), read, this_year=2026, progress=stop)


def test_a_vin_pattern_that_is_none_is_refused(planned: Planned) -> None:
    row = only(planned("Make;Model;Year;VIN pattern\nTarn;Skerry;2021;VF1?????M12 VF9!\n"))
    assert "'VF9!' is no VIN pattern" in row.reason


def test_a_charge_with_a_rear_unit_is_held_apart_and_checked_like_the_charge(planned: Planned) -> None:
    done = planned(
        "Make;Model;Year;Charge (g);Charge rear (g)\nTarn;Fell;2021;900;1300\nTarn;Rill;2021;900;0\n"
    )
    assert [one.field for one in done.rows[0].specs] == ["charge", "charge with rear unit"]
    assert done.rows[1].outcome is Outcome.REFUSED


def test_a_text_too_long_to_be_kept_is_refused_and_never_cut(planned: Planned) -> None:
    header = "Make;Model;Year;Oil;Notes\n"
    long = planned(f"{header}Tarn;Fell;2021;PAG 46;{'x' * 20_001}\nTarn;Rill;2021;{'x' * 2_001};\n")
    assert [row.outcome for row in long.rows] == [Outcome.REFUSED, Outcome.REFUSED]
    assert "20,001 characters" in long.rows[0].reason
    assert "more than 2,000 characters" in long.rows[1].reason


def test_a_header_without_rows_plans_nothing(planned: Planned) -> None:
    done = planned(HEADER)
    assert done.rows == ()
    assert done.additions() == ()
    assert set(done.counts.values()) == {0}
