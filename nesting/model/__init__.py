"""The values that pass between the rooms; frozen, exact, and knowing no room."""
