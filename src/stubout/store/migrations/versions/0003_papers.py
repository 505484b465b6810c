"""Papers that records name: texts such as a list of prices, each kept once under its hash."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the papers, and to each record the one it names; none of those there does."""
    op.create_table(
        "papers",
        sa.Column("sha256", sa.Text, nullable=False),
        sa.Column("text", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("sha256", name="pk_papers"),
    )
    with op.batch_alter_table("records") as table:
        table.add_column(sa.Column("paper", sa.Text, nullable=True))
        table.create_foreign_key("fk_records_paper", "papers", ["paper"], ["sha256"])
