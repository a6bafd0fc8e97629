"""What the shop sells and keeps: kinds, supplies, designs."""
