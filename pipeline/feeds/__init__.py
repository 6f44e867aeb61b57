"""What the feeds hold: columns, reasons for holding a row or refusing a file, schemas, and where the store keeps them."""
