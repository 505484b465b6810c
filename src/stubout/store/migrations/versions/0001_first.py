"""Jobs, revisions, photos, records, sessions."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def _text(name: str) -> sa.Column[str]:
    return sa.Column(name, sa.Text, nullable=False)


def upgrade() -> None:
    """Make the first tables."""
    op.create_table(
        "jobs",
        sa.Column("id", sa.Integer, autoincrement=True, nullable=False),
        _text("name"),
        sa.Column("head", sa.Integer, nullable=False),
        _text("made_by"),
        _text("made_at"),
        sa.PrimaryKeyConstraint("id", name="pk_jobs"),
    )
    op.create_table(
        "revisions",
        sa.Column("job", sa.Integer, nullable=False),
        sa.Column("number", sa.Integer, autoincrement=False, nullable=False),
        *(_text(n) for n in ("text", "sha256", "author", "at", "note")),
        sa.PrimaryKeyConstraint("job", "number", name="pk_revisions"),
        sa.ForeignKeyConstraint(["job"], ["jobs.id"], name="fk_revisions_job"),
    )
    op.create_table(
        "photos",
        _text("sha256"),
        sa.Column("data", sa.LargeBinary, nullable=False),
        sa.Column("width", sa.Integer, nullable=False),
        sa.Column("height", sa.Integer, nullable=False),
        sa.PrimaryKeyConstraint("sha256", name="pk_photos"),
    )
    op.create_table(
        "records",
        sa.Column("id", sa.Integer, autoincrement=True, nullable=False),
        sa.Column("job", sa.Integer, nullable=False),
        *(_text(n) for n in ("kind", "about", "value", "wall", "place")),
        sa.Column("photo", sa.Text, nullable=True),
        sa.Column("takes_back", sa.Integer, nullable=True),
        _text("author"),
        _text("at"),
        sa.Column("revision", sa.Integer, nullable=False),
        sa.Column("token", sa.Text, nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_records"),
        sa.ForeignKeyConstraint(["photo"], ["photos.sha256"], name="fk_records_photo"),
        sa.ForeignKeyConstraint(["takes_back"], ["records.id"], name="fk_records_takes_back"),
        sa.ForeignKeyConstraint(["job", "revision"], ["revisions.job", "revisions.number"], name="fk_records_revision"),
        sa.UniqueConstraint("job", "token", name="uq_records_token"),
    )
    op.create_index("ix_records_job", "records", ["job"])
    op.create_table(
        "sessions",
        _text("token_sha256"),
        _text("name"),
        _text("ends_at"),
        sa.PrimaryKeyConstraint("token_sha256", name="pk_sessions"),
    )
