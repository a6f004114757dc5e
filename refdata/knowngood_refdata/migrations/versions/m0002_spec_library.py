"""The spec library: build dates, pages, decisions between sources, shop fields, pictures, tables, imports."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

EMPTY = sa.text("''")


def upgrade() -> None:
    for name in ("build_from", "build_to", "generation", "body", "vin_pattern", "sort_key"):
        op.add_column("configuration", sa.Column(name, sa.Text(), nullable=False, server_default=EMPTY))
    op.create_table(
        "import_batch",
        sa.Column("id", sa.Integer(), primary_key=True),
        sa.Column("source_name", sa.Text(), nullable=False),
        sa.Column("sha256", sa.Text(), nullable=False, index=True),
        sa.Column("counts", sa.JSON(), nullable=False),
        sa.Column("undone_at", sa.DateTime()),
        *_stamps(),
    )
    op.add_column("spec_value", sa.Column("page", sa.Text(), nullable=False, server_default=EMPTY))
    op.add_column("spec_value", sa.Column("reviewed_at", sa.DateTime()))
    op.add_column("audit", sa.Column("batch_id", sa.Integer()))
    op.create_index("ix_audit_batch_id", "audit", ["batch_id"])
    op.create_index("ix_audit_row", "audit", ["table_name", "row_id"])
    op.create_table(
        "spec_decision",
        sa.Column("id", sa.Integer(), primary_key=True),
        sa.Column(
            "configuration_id", sa.Integer(), sa.ForeignKey("configuration.id"), nullable=False, index=True
        ),
        sa.Column("field", sa.Text(), nullable=False),
        sa.Column("spec_value_id", sa.Integer(), sa.ForeignKey("spec_value.id"), nullable=False),
        sa.Column("why", sa.Text(), nullable=False),
        *_stamps(),
        sa.UniqueConstraint("configuration_id", "field", name="uq_spec_decision"),
    )
    op.create_table(
        "field_definition",
        sa.Column("id", sa.Integer(), primary_key=True),
        sa.Column("name", sa.Text(), nullable=False, unique=True),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("section", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("choices", sa.JSON(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        *_stamps(),
    )
    op.create_table(
        "picture",
        sa.Column("id", sa.Integer(), primary_key=True),
        sa.Column(
            "configuration_id", sa.Integer(), sa.ForeignKey("configuration.id"), nullable=False, index=True
        ),
        sa.Column("unit_id", sa.Integer(), sa.ForeignKey("unit.id")),
        sa.Column("shows", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("sha256", sa.Text(), nullable=False),
        sa.Column("media_type", sa.Text(), nullable=False),
        sa.Column("width", sa.Integer(), nullable=False),
        sa.Column("height", sa.Integer(), nullable=False),
        sa.Column("content", sa.LargeBinary(), nullable=False),
        sa.Column("thumbnail", sa.LargeBinary(), nullable=False),
        *_stamps(),
    )
    op.create_table(
        "performance_table",
        sa.Column("id", sa.Integer(), primary_key=True),
        sa.Column("configuration_id", sa.Integer(), sa.ForeignKey("configuration.id"), index=True),
        sa.Column("family_id", sa.Integer(), sa.ForeignKey("system_family.id"), index=True),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("circuit", sa.Text(), nullable=False),
        sa.Column("generic", sa.Boolean(), nullable=False),
        sa.Column("setup", sa.JSON(), nullable=False),
        sa.Column("content", sa.JSON(), nullable=False),
        sa.Column("source_kind", sa.Text(), nullable=False),
        sa.Column("citation", sa.Text(), nullable=False),
        sa.Column("revision", sa.Text(), nullable=False),
        sa.Column("page", sa.Text(), nullable=False),
        sa.Column("reviewed_by", sa.Text(), nullable=False),
        *_stamps(),
    )
    _fill_sort_keys()
    op.create_index("ix_configuration_sort_key", "configuration", ["sort_key", "id"])
    deleted = sa.text("deleted_at IS NOT NULL")
    op.create_index(
        "ix_configuration_deleted",
        "configuration",
        ["deleted_at"],
        sqlite_where=deleted,
        postgresql_where=deleted,
    )
    _make_search_index()


def _fill_sort_keys() -> None:
    """The order of the list, stored: make, model and first year, case folded by the database."""
    op.execute("UPDATE configuration SET sort_key = lower(make) || ' ' || lower(model) || ' ' || year_from")


def _make_search_index() -> None:
    """An index over every three letters of what a vehicle can be found by, kept by the database itself."""
    if op.get_bind().dialect.name == "sqlite":
        op.execute("CREATE VIRTUAL TABLE configuration_grams USING fts5(search_text, tokenize='trigram')")
        op.execute(
            "INSERT INTO configuration_grams(rowid, search_text) SELECT id, search_text FROM configuration"
        )
        for moment, work in (
            ("AFTER INSERT ON configuration", _ADD),
            ("AFTER DELETE ON configuration", _TAKE),
            ("AFTER UPDATE OF search_text ON configuration", f"{_TAKE} {_ADD}"),
        ):
            name = f"configuration_grams_{moment.split()[1].lower()}"
            op.execute(f"CREATE TRIGGER {name} {moment} BEGIN {work} END")
    else:
        op.execute(
            "CREATE FUNCTION knowngood_grams(words text) RETURNS text[] "
            "LANGUAGE sql IMMUTABLE PARALLEL SAFE AS "
            "$$ SELECT coalesce(array_agg(DISTINCT substr(words, place, 3)), '{}') "
            "FROM generate_series(1, greatest(length(words) - 2, 0)) AS place $$"
        )
        op.execute(
            "CREATE INDEX ix_configuration_grams ON configuration USING gin (knowngood_grams(search_text))"
        )


_ADD = "INSERT INTO configuration_grams(rowid, search_text) VALUES (new.id, new.search_text);"
_TAKE = "DELETE FROM configuration_grams WHERE rowid = old.id;"


def _stamps() -> list[sa.Column[object]]:
    return [
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("created_at", sa.DateTime(), nullable=False),
        sa.Column("created_by", sa.Text(), nullable=False),
        sa.Column("changed_at", sa.DateTime(), nullable=False),
        sa.Column("changed_by", sa.Text(), nullable=False),
        sa.Column("deleted_at", sa.DateTime()),
    ]
