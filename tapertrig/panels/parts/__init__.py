"""What panels are made of: the panel itself, its controls, its board, shared words."""
