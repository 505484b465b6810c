"""How far every mark may be off before a rule breaks, solved by the checks themselves; it judges by them only."""
