"""The tables. A change here needs a migration; a test compares the two."""

from __future__ import annotations

from sqlalchemy import (
    Column,
    ForeignKey,
    ForeignKeyConstraint,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    Table,
    Text,
    UniqueConstraint,
)

metadata = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_name)s",
        "uq": "uq_%(table_name)s_%(column_0_name)s",
        "fk": "fk_%(table_name)s_%(column_0_name)s",
        "pk": "pk_%(table_name)s",
    }
)


def _text(name: str) -> Column[str]:
    return Column(name, Text, nullable=False)


jobs = Table(
    "jobs",
    metadata,
    Column("id", Integer, primary_key=True, autoincrement=True),
    _text("name"),
    Column("head", Integer, nullable=False),
    _text("made_by"),
    _text("made_at"),
)

revisions = Table(
    "revisions",
    metadata,
    Column("job", Integer, ForeignKey("jobs.id"), primary_key=True),
    Column("number", Integer, primary_key=True, autoincrement=False),
    _text("text"),
    _text("sha256"),
    _text("author"),
    _text("at"),
    _text("note"),
)

photos = Table(
    "photos",
    metadata,
    Column("sha256", Text, primary_key=True),
    Column("data", LargeBinary, nullable=False),
    Column("width", Integer, nullable=False),
    Column("height", Integer, nullable=False),
)

papers = Table(
    "papers",
    metadata,
    Column("sha256", Text, primary_key=True),
    _text("text"),
)

records = Table(
    "records",
    metadata,
    Column("id", Integer, primary_key=True, autoincrement=True),
    Column("job", Integer, nullable=False),
    _text("kind"),
    _text("about"),
    _text("value"),
    _text("wall"),
    _text("place"),
    Column("photo", Text, ForeignKey("photos.sha256"), nullable=True),
    Column("takes_back", Integer, ForeignKey("records.id"), nullable=True),
    _text("author"),
    _text("at"),
    Column("revision", Integer, nullable=False),
    Column("paper", Text, ForeignKey("papers.sha256"), nullable=True),
    Column("brought_by", Text, nullable=True),  # of a record that was made away from the server
    Column("brought_at", Text, nullable=True),
    Column("token", Text, nullable=True),  # NULL is never the same as another NULL
    ForeignKeyConstraint(["job", "revision"], ["revisions.job", "revisions.number"], name="fk_records_revision"),
    UniqueConstraint("job", "token", name="uq_records_token"),
)
Index("ix_records_job", records.c.job)

sessions = Table(
    "sessions",
    metadata,
    Column("token_sha256", Text, primary_key=True),  # the token itself is known to the browser alone
    _text("name"),
    _text("ends_at"),
)

KEPT = (jobs, revisions, photos, papers, records)  # what a backup holds, in the order it can be put back; no sessions
