"""What columns are taken for, how surely, what is asked, and how an answer is remembered."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import pytest

from knowngood_refdata.quantities import Kind
from knowngood_specs.core.fields import FIELDS, Field
from knowngood_specs.core.importing.mapping import as_json, from_json, reapplied, signature
from knowngood_specs.core.importing.proposal import propose
from knowngood_specs.core.importing.reader import read_rows
from knowngood_specs.core.importing.recognise import Words
from knowngood_specs.core.importing.targets import Meaning, Target

if TYPE_CHECKING:
    from knowngood_specs.core.importing.proposal import Proposal
    from knowngood_specs.core.importing.table import Table


def table(text: str) -> Table:
    return read_rows(text.encode(), "list.csv")


def meanings(proposal: Proposal) -> list[str]:
    return [one.use.meaning.words for one in proposal.columns]


@pytest.mark.parametrize(
    "header",
    [
        "Make;Model;Engine;Year;Refrigerant;Charge weight [g];Tolerance;Oil",
        "Marke;Modell;Motor;Baujahr;Kältemittel;Füllmenge (g);Toleranz;Öl",
        "Marque;Modèle;Moteur;Année modèle;Fluide frigorigène;Quantité (g);Tolérance charge;Huile",
        "Marca;Modelo;Motor;Año;Refrigerante;Carga (g);Tolerancia;Aceite",
        "Marca;Modello;Motore;Anno;Gas refrigerante;Carica (g);Tolleranza;Olio",
        "MERK;MODEL;motor;bouwjaar;koudemiddel;vulgewicht_g;tolerantie;olie",
        "vehicle make;vehicleModel;engine size;model year;refrigerant type;refrigerantCharge_g;+/-;oil type",
    ],
)
def test_headers_of_several_languages_say_what_columns_are(header: str) -> None:
    proposal = propose(table(f"{header}\nTarn;Skerry;1.6 petrol;2021;R-134a;470;15;PAG 46\n"))
    assert meanings(proposal) == [
        "make",
        "model",
        "engine",
        "year or years",
        "refrigerant: value as printed",
        "charge: value as printed, in g",
        "charge: tolerance of the value",
        "oil: value as printed",
    ]
    assert all(one.confidence >= 0.9 for one in proposal.columns)
    assert all("the header says" in one.reason for one in proposal.columns)


def test_cells_tell_what_a_header_that_is_not_understood_does_not() -> None:
    rows = "".join(f"Tarn;Skerry;20{year};R-1234yf;{400 + year} ± 15 g;PAG 46\n" for year in range(10, 30))
    proposal = propose(table(f"Make;Model;Col A;Col B;Col C;Col D\n{rows}"))
    assert meanings(proposal)[2:] == [
        "year or years",
        "refrigerant: value as printed",
        "charge: value as printed",
        "oil: value as printed",
    ]
    assert all(one.confidence < 0.9 for one in proposal.columns[2:])
    assert "100% of the cells are model years" in proposal.columns[2].reason


def test_cells_overrule_a_header_that_can_mean_either() -> None:
    proposal = propose(table("Make;Model;Year;Gas\nTarn;Skerry;2021;470 g\nFen;Harrier;2017;680 g\n"))
    assert meanings(proposal)[3] == "charge: value as printed"


def test_names_that_the_library_holds_tell_columns_without_a_header() -> None:
    proposal = propose(
        table("Tarn;Skerry;2021\nFen;Harrier;2017\nMoor;Combe;2015\n"),
        makes={"tarn", "fen", "moor"},
        models={"skerry", "harrier"},
    )
    assert meanings(proposal) == ["make", "model", "year or years"]


def test_a_field_of_the_shop_is_known_by_its_name_and_its_title() -> None:
    fields = (*FIELDS, Field("belt", "Drive belt", Kind.LENGTH))
    proposal = propose(
        table("Make;Model;Year;Drive belt (mm);belt source\nTarn;Skerry;2021;1200;book\n"), fields
    )
    assert meanings(proposal)[3:] == ["belt: value as printed, in mm", "belt: citation"]


def test_of_two_columns_for_the_same_the_surer_is_taken_and_the_other_asked_about() -> None:
    proposal = propose(table("Make;Model;Year;Charge weight (g);Old charge list\nTarn;Skerry;2021;470;480\n"))
    assert meanings(proposal)[3:] == ["charge: value as printed, in g", "leave out"]
    assert "is taken for the same" in proposal.columns[4].reason
    assert any(question.column == 4 for question in proposal.questions)


def test_a_unit_that_cannot_be_told_is_asked_for_and_never_guessed() -> None:
    proposal = propose(table("Make;Model;Year;Charge\nTarn;Skerry;2021;1.1\nFen;Harrier;2017;1.5\n"))
    (question,) = [one for one in proposal.questions if one.choices == ("g", "kg", "oz", "lb")]
    assert question.column == 3
    assert proposal.columns[3].use.meaning.unit == ""


def test_some_hundreds_can_only_be_grams() -> None:
    proposal = propose(table("Make;Model;Year;Charge\nTarn;Skerry;2021;470\nFen;Harrier;2017;680\n"))
    assert proposal.columns[3].use.meaning.unit == "g"


def test_values_without_a_source_and_columns_left_out_are_asked_about() -> None:
    proposal = propose(table("Model;Year;Charge (g);Paint\nSkerry;2021;470;red\n"))
    words = " ".join(question.words for question in proposal.questions)
    assert "Which column is the make?" in words
    assert "Where do these values come from?" in words
    assert "'Paint' is left out" in words


def test_names_written_once_for_the_rows_below_are_asked_about() -> None:
    proposal = propose(table("Make;Model;Year\nTarn;Skerry;2021\n;Rill;2022\n;Fell;2019\n"))
    (question,) = [one for one in proposal.questions if one.choices == ("fill down",)]
    assert "'Make' is empty in 2 of 3 rows" in question.words


def test_a_signature_is_of_the_header_whatever_the_order_and_the_rows() -> None:
    one = table("Make;Model;Charge (g)\nTarn;Skerry;470\n")
    other = table("charge (G);MAKE;model\n680;Fen;Harrier\n500;Moor;Combe\n")
    assert signature(one) == signature(other)
    assert signature(one) != signature(table("Make;Model;Charge (oz)\nTarn;Skerry;16\n"))


def test_a_remembered_mapping_is_laid_over_the_next_file_by_name() -> None:
    first = table("Make;Model;Year;X\nTarn;Skerry;2021;red\n")
    mapping = propose(first).mapping.using(3, Meaning(Target.NOTES)).from_source("bulletin", "SB 12", "B")
    kept = from_json(json.loads(json.dumps(as_json(mapping))))
    assert kept == mapping
    second = table("X;Year;Model;Make;New\nblue;2022;Rill;Tarn;?\n")
    assert meanings(propose(second, remembered=kept)) == [
        "notes",
        "year or years",
        "model",
        "make",
        "leave out",
    ]
    assert reapplied(mapping, second).source == mapping.source


@pytest.mark.parametrize("kept", [{}, {"columns": 3}, {"columns": [{"target": "soul"}], "source": {}}])
def test_what_is_no_remembered_mapping_is_none(kept: dict[str, object]) -> None:
    assert from_json(kept) is None


def test_headers_in_another_alphabet_are_remembered_apart() -> None:
    first = table(
        "Make;Model;Year;\u041c\u0430\u0441\u043b\u043e;\u0413\u0430\u0437\nTarn;Fell;2021;PAG 46;R-134a\n"
    )
    second = table("Make;Model;Year;\u0413\u0430\u0437;\u041c\u0430\u0441\u043b\u043e\nTarn;Fell;2021;;\n")
    kept = propose(first).mapping
    assert meanings(propose(second, remembered=kept))[3:] == [
        "refrigerant: value as printed",
        "oil: value as printed",
    ]
    assert signature(first) == signature(second)
    assert signature(first) != signature(table("Make;Model;Year;\u0426;\u0429\nTarn;Fell;2021;;\n"))


def test_a_long_or_empty_header_is_taken_for_nothing() -> None:
    words = Words()
    assert words.recognise("") is None
    assert words.recognise("charge " * 40) is None
    assert words.recognise("(g)") is None
