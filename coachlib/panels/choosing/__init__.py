"""What panels on which a coach chooses and accepts have in common."""
