"""What an order brings and costs: add-ons, bill, payments, cost and margin."""
