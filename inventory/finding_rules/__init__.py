"""Rules over records, by what they look at; `inventory.findings` calls them."""
