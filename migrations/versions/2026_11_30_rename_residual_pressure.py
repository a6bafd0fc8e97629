"""Rename the setting of the pressure that is left in a cylinder."""

from alembic import op

revision = "9d3b6f0c7e41"
down_revision = "4c1e8d27b5a0"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.execute("UPDATE setting SET key = 'cylinder_residual_bar' WHERE key = 'cylinder_rest_bar'")


def downgrade() -> None:
    op.execute("UPDATE setting SET key = 'cylinder_rest_bar' WHERE key = 'cylinder_residual_bar'")
