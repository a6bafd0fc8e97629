"""Price a balloon type treated. What has no such price costs its price and the treatment price, as before."""

from alembic import op

revision = "f81b3c6d20e9"
down_revision = "e5c20a91f7d3"
branch_labels = None
depends_on = None


def upgrade() -> None:
    check = "CONSTRAINT ck_balloon_type_treated_price CHECK (treated_minor >= 0)"
    op.execute(f"ALTER TABLE balloon_type ADD COLUMN treated_minor INTEGER {check}")


def downgrade() -> None:
    op.drop_column("balloon_type", "treated_minor")
