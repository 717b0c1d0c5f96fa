"""What is said in words about a form, its areas, the hand and drills."""
