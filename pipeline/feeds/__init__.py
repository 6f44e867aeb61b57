"""What the feeds hold: columns, reasons for holding or refusing, schemas, and where the store keeps them."""
