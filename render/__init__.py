"""Pictures of steps and heads, each with a manifest of what it shows."""
