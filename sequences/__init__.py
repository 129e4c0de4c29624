"""Step data, its schema and loader, the plan of one head, cautions and proof."""
