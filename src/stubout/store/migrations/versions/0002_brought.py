"""Records that were made away from the server: who brought them, and when."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add who brought a record and when it came; both are empty for one that was made here."""
    with op.batch_alter_table("records") as table:
        table.add_column(sa.Column("brought_by", sa.Text, nullable=True))
        table.add_column(sa.Column("brought_at", sa.Text, nullable=True))
